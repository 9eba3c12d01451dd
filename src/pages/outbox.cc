#include "pages/outbox.h"

#include <algorithm>
#include <charconv>
#include <utility>

namespace masseter {
namespace {

// The end of the string that opens at `at`: one past its closing quote.
std::size_t SkipString(std::string_view json, std::size_t at) {
  for (++at; at < json.size(); ++at) {
    if (json[at] == '\\') {
      ++at;
    } else if (json[at] == '"') {
      return at + 1;
    }
  }
  return json.size();
}

std::size_t SkipSpace(std::string_view json, std::size_t at) {
  const std::size_t next = json.find_first_not_of(" \t\r\n", at);
  return next == std::string_view::npos ? json.size() : next;
}

// The end of the value that begins at `at`.
std::size_t SkipValue(std::string_view json, std::size_t at) {
  int depth = 0;
  while (at < json.size()) {
    const char c = json[at];
    if (c == '"') {
      at = SkipString(json, at);
      if (depth == 0) return at;
      continue;
    }
    if (c == '{' || c == '[') ++depth;
    if (c == '}' || c == ']') {
      if (depth == 0) return at;
      if (--depth == 0) return at + 1;
    }
    if (c == ',' && depth == 0) return at;
    ++at;
  }
  return at;
}

}  // namespace

MessageHead ReadHead(std::string_view json) {
  MessageHead head;
  std::size_t at = SkipSpace(json, 0);
  if (at >= json.size() || json[at] != '{') return head;
  at = SkipSpace(json, at + 1);
  while (at < json.size() && json[at] == '"') {
    const std::size_t key_end = SkipString(json, at);
    const std::string_view key = json.substr(at, key_end - at);
    at = SkipSpace(json, SkipSpace(json, key_end) + 1);  // past the colon
    const std::size_t end = SkipValue(json, at);
    const std::string_view value = json.substr(std::min(at, end), end - at);
    if (key == "\"type\"" && value.size() >= 2) {
      head.type = value.substr(1, value.size() - 2);
    }
    if (key == "\"sleeve\"") {
      std::from_chars(value.data(), value.data() + value.size(), head.sleeve);
    }
    if (key == "\"whole\"") head.whole = value.substr(0, 4) == "true";
    at = SkipSpace(json, end);
    if (at < json.size() && json[at] == ',') at = SkipSpace(json, at + 1);
  }
  return head;
}

Outbox::Outbox(std::size_t traces, std::size_t bytes)
    : traces_(traces), bytes_limit_(bytes) {}

void Outbox::Drop(Kind kind, int sleeve) {
  std::erase_if(waiting_, [this, kind, sleeve](const Item& item) {
    if (item.kind != kind || item.sleeve != sleeve) return false;
    bytes_ -= item.text->size();
    return true;
  });
}

bool Outbox::Push(Text text) {
  const MessageHead head = ReadHead(*text);
  Kind kind = Kind::kOther;
  if (head.type == "now" || head.type == "bench") kind = Kind::kNow;
  if (head.type == "trace") kind = head.whole ? Kind::kWhole : Kind::kColumns;
  const int sleeve = head.sleeve;
  if (kind == Kind::kNow || kind == Kind::kWhole) Drop(kind, sleeve);
  if (kind == Kind::kWhole) {
    Drop(Kind::kColumns, sleeve);
    behind_.erase(sleeve);
  }
  bytes_ += text->size();
  waiting_.push_back({kind, sleeve, std::move(text)});
  if (kind == Kind::kColumns) {
    const auto is_columns = [](const Item& item) {
      return item.kind == Kind::kColumns;
    };
    const auto count =
        std::count_if(waiting_.begin(), waiting_.end(), is_columns);
    if (static_cast<std::size_t>(count) > traces_) {
      const auto oldest =
          std::find_if(waiting_.begin(), waiting_.end(), is_columns);
      bytes_ -= oldest->text->size();
      behind_.insert(oldest->sleeve);
      waiting_.erase(oldest);
    }
  }
  return bytes_ <= bytes_limit_;
}

Outbox::Text Outbox::Pop() {
  if (waiting_.empty()) return nullptr;
  Text text = std::move(waiting_.front().text);
  waiting_.pop_front();
  bytes_ -= text->size();
  return text;
}

std::optional<int> Outbox::TakeBehind() {
  if (!waiting_.empty() || behind_.empty()) return std::nullopt;
  return behind_.extract(behind_.begin()).value();
}

}  // namespace masseter
