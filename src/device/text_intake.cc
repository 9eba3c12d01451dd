#include "device/text_intake.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <optional>
#include <string_view>
#include <utility>

#include "device/block_builder.h"
#include "device/header_line.h"
#include "device/integer_lines.h"
#include "device/line_cutter.h"
#include "device/sample_line.h"
#include "wire/text.h"

namespace masseter {
namespace {

constexpr std::size_t kFirstBroken = 20;
constexpr std::size_t kMostWarnings = 20;
constexpr std::size_t kHeldLines = 10;       // while the separator is unknown
constexpr std::size_t kMostBetween = 256;    // lines between plain ones
constexpr std::uint64_t kRefuseAfter = 200;  // broken lines without a sample

const char* SeparatorWord(char separator) {
  switch (separator) {
    case ',':
      return "commas";
    case ';':
      return "semicolons";
    case '\t':
      return "tabs";
    default:
      return "blanks";
  }
}

// Nothing to read: blank, or a comment.
bool IsEmptyOrComment(std::string_view line) {
  for (const char c : line) {
    if (c != ' ' && c != '\t') return c == '#';
  }
  return true;
}

// UTF-16 with byte-order mark and an ASCII first character.
bool IsUtf16(std::string_view line) {
  return (line.size() >= 4 && line.starts_with("\xFF\xFE") && line[3] == 0) ||
         (line.size() >= 3 && line.starts_with("\xFE\xFF") && line[2] == 0);
}

std::string Place(std::uint64_t line) { return ":" + std::to_string(line); }

}  // namespace

struct TextIntake::Impl {
  struct Line {
    std::uint64_t number = 0;
    std::string_view text;
    bool too_long = false;
  };
  struct HeldLine {
    std::uint64_t number = 0;
    std::string text;
    bool too_long = false;
  };

  Impl(const Rig& r, std::size_t block_rows, Sink s)
      : rig(r), sink(std::move(s)), builder(block_rows) {
    separator = rig.text.separator;
    UseColumns(rig.text.columns);
  }

  // Takes the plain lines of the bytes ahead of the others (see IntegerLines),
  // then a few by the ordinary way: more and more of them, the longer there is
  // no plain one.
  void TakeBytes(std::span<const char> bytes) {
    std::size_t at = 0;
    while (at < bytes.size() && !failed) {
      const std::uint64_t rows = report.rows;
      at = TakePlainLines(bytes, at);
      lines_between = report.rows == rows ? 2 * lines_between : 1;
      lines_between = std::min(lines_between, kMostBetween);
      const std::size_t end = EndOfLines(bytes, at, lines_between);
      cutter.Push(bytes.subspan(at, end - at),
                  [this](std::string_view text, bool too_long) {
                    return OnLine(text, too_long);
                  });
      at = end;
    }
  }

  // Behind the next `count` line feeds from `at` on.
  static std::size_t EndOfLines(std::span<const char> bytes, std::size_t at,
                                std::size_t count) {
    for (; count > 0 && at < bytes.size(); --count) {
      const auto from = bytes.begin() + static_cast<std::ptrdiff_t>(at);
      const auto feed = std::find(from, bytes.end(), '\n');
      at = static_cast<std::size_t>(feed - bytes.begin());
      if (feed != bytes.end()) ++at;
    }
    return at;
  }

  std::size_t TakePlainLines(std::span<const char> bytes, std::size_t at) {
    const bool ready = separator_known && separator != ' ' && !summed &&
                       !skip_line && cutter.AtLineStart();
    while (ready && !failed) {
      const std::size_t room = builder.IntegerRoom();
      targets.clear();
      for (const int slot : plan.slots) {
        if (slot == FieldPlan::kSkipped) return at;
        targets.push_back(builder.NextInteger(static_cast<std::size_t>(slot)));
      }
      const LinesRead read =
          plain_lines.Read(bytes, at, separator, targets, room);
      at = read.end;
      builder.Written(read.rows);
      report.lines += read.rows;
      report.rows += read.rows;
      if (!builder.full()) return at;
      Emit();
    }
    return at;
  }

  // Takes one line off the stream; false when the intake has failed.
  bool OnLine(std::string_view text, bool too_long) {
    ++report.lines;
    if (report.lines == 1 && !OnFirstLine(text)) return false;
    if (IsEmptyOrComment(text)) return true;
    if (skip_line && !summed) {
      skip_line = false;
      Broken({report.lines, text, too_long}, "joined in the middle of a line");
      return !failed;
    }
    Line line{report.lines, text, too_long};
    if (!CheckSum(line)) return !failed;
    if (separator_known) {
      TakeLine(line);
    } else {
      ProbeLine(line);
    }
    return !failed;
  }

  // Takes the check sum off a line that has one; false when the line is broken.
  bool CheckSum(Line& line) {
    const auto sum = wire_text_check(line.text.data(), line.text.size());
    if (sum == WIRE_TEXT_GOOD && !line.too_long) {
      summed = true;
      line.text.remove_suffix(WIRE_TEXT_SUM);
      return true;
    }
    if (sum != WIRE_TEXT_WRONG && !summed) return true;
    Broken(line, sum == WIRE_TEXT_WRONG ? "the check sum does not match"
                                        : "no check sum");
    return false;
  }

  // What stands after the last line end will not be finished.
  void TearLastLine() {
    cutter.Finish([this](std::string_view text, bool too_long) {
      ResolveHeld();
      ++report.lines;
      if (IsEmptyOrComment(text)) return true;
      Broken({report.lines, text, too_long},
             "cut off at the end of the stream: " + Quoted(text));
      return true;
    });
  }

  bool OnFirstLine(std::string_view& text) {
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
    if (!live && IsUtf16(text)) {
      Fail({ErrorKind::kBadInput, ":1",
            "the text is UTF-16; save it as UTF-8 and try again"});
    }
    return !failed;
  }

  // A line whose separator is known: sample, header or broken.
  void TakeLine(const Line& line) {
    if (failed) return;
    if (Reads(line, separator)) {
      builder.Add(row);
      ++report.rows;
      if (builder.full()) Emit();
      return;
    }
    if (line.too_long) {
      Broken(line,
             "longer than " + std::to_string(LineCutter::kMaxLine) + " bytes");
      return;
    }
    const std::optional<HeaderLine> header = ReadHeader(rig, line.text);
    if (header) {
      TakeHeader(line, *header);
    } else {
      Broken(line, "");
    }
  }

  bool Reads(const Line& line, char with) {
    return !line.too_long && ReadSample(line.text, with, plan, row);
  }

  // Before the first sample: which separator does the device print? The
  // rig's (or the header's) as soon as one line reads with it; another one
  // when more than half of the held lines read with that and none with these.
  void ProbeLine(const Line& line) {
    if (torn_header) TryTornHeader(line);
    if (Reads(line, rig.text.separator)) {
      SettleSeparator(rig.text.separator);
      TakeLine(line);
    } else if (header_separator && Reads(line, *header_separator)) {
      SettleSeparator(*header_separator);
      TakeLine(line);
    } else if (!line.too_long && ReadHeader(rig, line.text)) {
      ResolveHeld();
      TakeLine(line);
    } else {
      held.push_back({line.number, std::string(line.text), line.too_long});
      if (held.size() == kHeldLines) ResolveHeld();
    }
  }

  void SettleSeparator(char chosen) {
    separator = chosen;
    separator_known = true;
    if (chosen != rig.text.separator) {
      Warn(std::string("the values are separated by ") + SeparatorWord(chosen) +
           ", not by " + SeparatorWord(rig.text.separator) +
           " as the rig file says; read as they are");
    }
    TakeHeld();
  }

  void TakeHeld() {
    for (const HeldLine& line : std::exchange(held, {})) {
      TakeLine({line.number, line.text, line.too_long});
    }
  }

  void ResolveHeld() {
    char best = rig.text.separator;
    std::size_t most = held.size() / 2;
    for (const char other : {',', ';', '\t', ' '}) {
      std::size_t good = 0;
      for (const HeldLine& line : held) {
        if (Reads({line.number, line.text, line.too_long}, other)) ++good;
      }
      if (good > most) {
        most = good;
        best = other;
      }
    }
    if (best == rig.text.separator) {
      TakeHeld();
    } else {
      SettleSeparator(best);
    }
  }

  // Before the first sample a header decides the columns; later it can only
  // say again what they are, or bring them in another order.
  void TakeHeader(const Line& line, const HeaderLine& header) {
    const std::string fault = HeaderFault(rig, header);
    if (report.rows > 0) {
      TakeLaterHeader(line, header, fault);
    } else if (live && line.number == 1 && !fault.empty()) {
      Broken(line, "a header with " + fault);
    } else if (live && line.number == 1 && IsTailOfHeader(rig, header)) {
      torn_header = header;
      ++report.headers;
    } else if (!fault.empty()) {
      Fail({ErrorKind::kBadInput, Place(line.number),
            "the header has " + fault});
    } else {
      Adopt(header);
      ++report.headers;
    }
  }

  void Adopt(const HeaderLine& header) {
    report.has_header = true;
    header_separator = header.separator;
    separator = header.separator;
    for (std::string& text : HeaderWarnings(rig, header)) Warn(std::move(text));
    UseColumns(header.roles);
  }

  void TakeLaterHeader(const Line& line, const HeaderLine& header,
                       const std::string& fault) {
    std::optional<FieldPlan> later;
    if (fault.empty()) later = PlanFields(rig, header.roles, builder.layout());
    if (!later) {
      Broken(line, "a header with " +
                       (fault.empty() ? "fewer columns than before" : fault));
      return;
    }
    ++report.headers;
    if (header.roles == roles) return;
    Warn("line " + std::to_string(line.number) +
         ": the device started again with other columns; followed from here");
    roles = header.roles;
    plan = *std::move(later);
  }

  // A live stream began with what may be the rest of a header. It was a whole
  // one, of fewer columns, if the next line has just as many fields.
  void TryTornHeader(const Line& line) {
    const HeaderLine header = *std::exchange(torn_header, std::nullopt);
    if (header.roles.size() == rig.text.columns.size()) return;
    std::vector<std::string_view> fields;
    SplitFields(line.text, header.separator, fields);
    if (fields.size() == header.roles.size()) Adopt(header);
  }

  void UseColumns(const std::vector<ColumnRole>& columns) {
    roles = columns;
    builder.SetLayout(KeptLayout(columns));
    plan = PlanFields(rig, columns, builder.layout()).value_or(FieldPlan{});
    row.assign(builder.layout().size(), NumberText{});
  }

  // `why` empty: found out only when it will be shown.
  void Broken(const Line& line, std::string why) {
    ++report.broken;
    if (report.first_broken.size() < kFirstBroken) {
      if (why.empty()) why = WhyNotSample(line.text, separator, plan);
      report.first_broken.push_back({line.number, std::move(why)});
    }
    if (report.rows == 0 && report.broken == kRefuseAfter) {
      Refuse("none of the first " + std::to_string(kRefuseAfter) +
             " lines is a sample");
    }
  }

  void Refuse(const std::string& what) {
    const BrokenLine& first = report.first_broken.front();
    Fail({ErrorKind::kBadInput, Place(first.line),
          what + " (" + first.why + ")"});
  }

  void Warn(std::string text) {
    if (report.warnings.size() < kMostWarnings) {
      report.warnings.push_back(std::move(text));
    }
  }

  void Fail(Error error) { failed = std::move(error); }

  void Emit() {
    if (failed || builder.empty()) return;
    if (Expected<void> done = sink(builder.Take(host_time_s)); !done) {
      Fail(std::move(done.error()));
    }
  }

  Expected<void> Result() const {
    if (failed) return tl::unexpected<Error>(*failed);
    return {};
  }

  const Rig rig;
  Sink sink;
  LineCutter cutter;
  BlockBuilder builder;
  IntakeReport report;
  std::optional<Error> failed;
  double host_time_s = 0.0;
  bool live = false;
  bool summed = false;     // a line with a good check sum was seen
  bool skip_line = false;  // the next line lacks its beginning

  std::vector<ColumnRole> roles;  // of the fields of a line
  FieldPlan plan;                 // from fields to the builder's layout
  std::vector<NumberText> row;    // scratch

  IntegerLines plain_lines;
  std::vector<std::int64_t*> targets;  // scratch: of the fields
  std::size_t lines_between = 1;

  char separator;
  bool separator_known = false;
  std::optional<char> header_separator;
  std::optional<HeaderLine> torn_header;
  std::vector<HeldLine> held;
};

TextIntake::TextIntake(const Rig& rig, std::size_t block_rows, Sink sink)
    : impl_(std::make_unique<Impl>(rig, block_rows, std::move(sink))) {
  assert(block_rows > 0);
}

TextIntake::~TextIntake() = default;

Expected<void> TextIntake::Push(std::span<const char> bytes,
                                double host_time_s) {
  Impl& in = *impl_;
  if (in.failed) return in.Result();
  in.host_time_s = host_time_s;
  in.live = host_time_s > 0.0;
  in.TakeBytes(bytes);
  return in.Result();
}

Expected<void> TextIntake::Flush() {
  impl_->Emit();
  return impl_->Result();
}

Expected<void> TextIntake::Rejoin(bool anywhere) {
  Impl& in = *impl_;
  if (in.failed) return in.Result();
  in.TearLastLine();
  in.skip_line = anywhere;
  return Flush();
}

Expected<void> TextIntake::Finish(LastLine last) {
  Impl& in = *impl_;
  if (in.failed) return in.Result();
  if (last == LastLine::kTorn) {
    in.TearLastLine();
  } else {
    in.cutter.Finish([&in](std::string_view text, bool too_long) {
      return in.OnLine(text, too_long);
    });
  }
  in.ResolveHeld();
  if (!in.failed && last == LastLine::kCounts && in.report.rows == 0 &&
      in.report.broken > 0) {
    in.Refuse(in.report.broken == 1 ? "the only line of values is no sample"
                                    : "none of the lines is a sample");
  }
  in.Emit();
  return in.Result();
}

const IntakeReport& TextIntake::report() const { return impl_->report; }

}  // namespace masseter
