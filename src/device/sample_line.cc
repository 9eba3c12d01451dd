#include "device/sample_line.h"

#include <algorithm>
#include <cstdint>

namespace masseter {
namespace {

// Blanks that mean nothing beside `separator`.
struct Blanks {
  explicit Blanks(char separator) : tab(separator == '\t' ? ' ' : '\t') {}
  bool operator()(char c) const { return c == ' ' || c == tab; }
  char tab;
};

const char* SkipBlanks(const char* p, const char* end, Blanks is_blank) {
  while (p != end && is_blank(*p)) ++p;
  return p;
}

std::string_view Trimmed(std::string_view text, Blanks is_blank) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

// The end of the field that begins at `p`.
const char* FieldEnd(const char* p, const char* end, char separator) {
  if (separator == ' ') {
    return std::find_if(p, end, [](char c) { return c == ' ' || c == '\t'; });
  }
  return std::find(p, end, separator);
}

// The common case: up to 18 digits with or without sign. Returns the end of
// the digits, or nullptr when it is not that.
const char* ReadShortInteger(const char* p, const char* end,
                             std::int64_t& value) {
  const bool negative = p != end && *p == '-';
  if (negative || (p != end && *p == '+')) ++p;
  const char* const first = p;
  const char* const most = end - p > 18 ? p + 18 : end;
  std::int64_t sum = 0;
  while (p != most) {
    const unsigned digit = static_cast<unsigned>(*p) - unsigned{'0'};
    if (digit > 9) break;
    sum = sum * 10 + static_cast<std::int64_t>(digit);
    ++p;
  }
  value = negative ? -sum : sum;
  return p == first ? nullptr : p;
}

// The line ends where field `i` would begin: fine only when that is the last
// field, one that is skipped, and a separator announced it.
bool AfterSeparator(std::size_t i, const FieldPlan& plan) {
  return i > 0 && i + 1 == plan.slots.size() &&
         plan.slots[i] == FieldPlan::kSkipped;
}

}  // namespace

void SplitFields(std::string_view line, char separator,
                 std::vector<std::string_view>& fields) {
  fields.clear();
  const Blanks is_blank(separator);
  line = Trimmed(line, is_blank);
  const char* p = line.data();
  const char* const end = p + line.size();
  while (p != end) {
    const char* stop = FieldEnd(p, end, separator);
    fields.push_back(Trimmed(
        std::string_view(p, static_cast<std::size_t>(stop - p)), is_blank));
    if (stop == end) return;
    p = SkipBlanks(stop + 1, end, is_blank);
  }
}

bool ReadSample(std::string_view line, char separator, const FieldPlan& plan,
                std::span<NumberText> row) {
  const Blanks is_blank(separator);
  const char* const end = line.data() + line.size();
  const char* p = SkipBlanks(line.data(), end, is_blank);
  const std::size_t count = plan.slots.size();
  for (std::size_t i = 0; i < count; ++i) {
    if (p == end) return AfterSeparator(i, plan);
    const char* stop = nullptr;
    if (plan.slots[i] != FieldPlan::kSkipped) {
      NumberText& value = row[static_cast<std::size_t>(plan.slots[i])];
      stop = ReadShortInteger(p, end, value.integer);
      value.decimal = false;
      if (!stop || (stop != end && *stop != separator && !is_blank(*stop))) {
        stop = FieldEnd(p, end, separator);
        const std::string_view text = Trimmed(
            std::string_view(p, static_cast<std::size_t>(stop - p)), is_blank);
        if (ParseNumber(text, separator != ',', value) != NumberFault::kNone) {
          return false;
        }
      }
    } else {
      stop = FieldEnd(p, end, separator);
    }
    p = SkipBlanks(stop, end, is_blank);
    if (p == end) return i + 1 == count;
    if (separator == ' ') {
      if (p == stop) return false;
    } else {
      if (*p != separator) return false;
      p = SkipBlanks(p + 1, end, is_blank);
    }
  }
  return p == end && count > 0;
}

std::string WhyNotSample(std::string_view line, char separator,
                         const FieldPlan& plan) {
  const auto is_control = [](char c) {
    const unsigned char byte = static_cast<unsigned char>(c);
    return (byte < 0x20 && c != '\t') || byte == 0x7F;
  };
  if (std::any_of(line.begin(), line.end(), is_control)) {
    return "not text: " + Quoted(line);
  }
  if (plan.slots.empty()) {
    return "no header line yet, and the rig file names no columns";
  }
  std::vector<std::string_view> fields;
  SplitFields(line, separator, fields);
  if (fields.size() != plan.slots.size()) {
    return std::to_string(fields.size()) +
           (fields.size() == 1 ? " field, " : " fields, ") +
           std::to_string(plan.slots.size()) + " expected";
  }
  for (std::size_t i = 0; i < fields.size(); ++i) {
    if (plan.slots[i] == FieldPlan::kSkipped) continue;
    NumberText value;
    const std::string& name = plan.names[i];
    switch (ParseNumber(fields[i], separator != ',', value)) {
      case NumberFault::kNone:
        break;
      case NumberFault::kEmpty:
        return name + " is empty";
      case NumberFault::kNotANumber:
        return name + " is not a number: " + Quoted(fields[i]);
      case NumberFault::kNotFinite:
        return name + " is not finite: " + Quoted(fields[i]);
      case NumberFault::kBeyond64:
        return name + " is beyond 64 bits: " + Quoted(fields[i]);
      case NumberFault::kOutOfRange:
        return name + " is out of range: " + Quoted(fields[i]);
    }
  }
  return "not a sample: " + Quoted(line);
}

}  // namespace masseter
