// Cuts a stream of bytes into lines, wherever the bytes were split on the way.
#ifndef MASSETER_DEVICE_LINE_CUTTER_H_
#define MASSETER_DEVICE_LINE_CUTTER_H_

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <span>
#include <string>
#include <string_view>

namespace masseter {

// A line ends at LF, CR LF or a lone CR, mixed as they come. The same bytes
// give the same lines however they are split into pushes. A line that lies
// whole in one push is handed on in place; only the piece at the end of a push
// is copied, so memory never exceeds one line of kMaxLine bytes.
//
// Thread rule: none of its own; one thread at a time.
class LineCutter {
 public:
  static constexpr std::size_t kMaxLine = 4096;  // bytes, without line end

  // Calls on_line(std::string_view text, bool too_long) -> bool for each line
  // that ends in `bytes`, without its line end. Of a longer line than kMaxLine
  // only the first kMaxLine bytes are handed on. Stops when on_line says false;
  // the rest of the bytes is then lost.
  template <class OnLine>
  void Push(std::span<const char> bytes, OnLine&& on_line) {
    const char* p = bytes.data();
    const char* const end = p + bytes.size();
    if (skip_lf_ && p != end) {
      if (*p == '\n') ++p;
      skip_lf_ = false;
    }
    const char* lf = Find(p, end, '\n');
    const char* cr = Find(p, end, '\r');
    while (p != end) {
      if (lf < p) lf = Find(p, end, '\n');
      if (cr < p) cr = Find(p, end, '\r');
      const char* stop = std::min(lf, cr);
      if (stop == end) {
        Keep(p, end);
        return;
      }
      if (stop == cr) {
        if (cr + 1 == end) {
          skip_lf_ = true;
        } else if (cr[1] == '\n') {
          ++cr;
        }
      }
      const bool more = Deliver(p, stop, on_line);
      p = (stop == lf ? lf : cr) + 1;
      if (!more) return;
    }
  }

  // Whether the next byte begins a line, whatever it is.
  bool AtLineStart() const { return kept_.empty() && !skip_lf_; }

  // Hands on what stands after the last line end, if anything, as a line.
  template <class OnLine>
  void Finish(OnLine&& on_line) {
    const char* const nothing = "";
    if (!kept_.empty()) Deliver(nothing, nothing, on_line);
  }

 private:
  static const char* Find(const char* p, const char* end, char c) {
    if (p == end) return end;
    const void* at = std::memchr(p, c, static_cast<std::size_t>(end - p));
    return at ? static_cast<const char*>(at) : end;
  }

  // Keeps one byte more than kMaxLine at most: enough to know "too long".
  void Keep(const char* p, const char* end) {
    const std::size_t room = kMaxLine + 1 - kept_.size();
    kept_.append(p, std::min(room, static_cast<std::size_t>(end - p)));
  }

  template <class OnLine>
  bool Deliver(const char* p, const char* end, OnLine&& on_line) {
    std::string_view line(p, static_cast<std::size_t>(end - p));
    const bool in_pieces = !kept_.empty();
    if (in_pieces) {
      Keep(p, end);
      line = kept_;
    }
    const bool more = on_line(line.substr(0, kMaxLine), line.size() > kMaxLine);
    if (in_pieces) kept_.clear();
    return more;
  }

  std::string kept_;
  bool skip_lf_ = false;  // the last push ended in CR
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_LINE_CUTTER_H_
