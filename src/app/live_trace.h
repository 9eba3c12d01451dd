// The last seconds of one sleeve's force as columns of lowest and highest: what
// a page draws, as the JSON of `trace` (api/README.md).
#ifndef MASSETER_APP_LIVE_TRACE_H_
#define MASSETER_APP_LIVE_TRACE_H_

#include <cstddef>
#include <cstdint>
#include <deque>
#include <string>

#include "core/bite/pipeline.h"

namespace masseter {

inline constexpr double kTraceSpanS = 20.0;

// One thread: the recorder's.
class LiveTrace {
 public:
  explicit LiveTrace(int sleeve) : sleeve_(sleeve) {}

  void Add(const FrameView& frame);
  // True when columns are new or have changed since TakeNew.
  bool has_new() const { return unsent_ > 0; }
  // All of it, and then what is new.
  std::string Whole() const { return Json(0, true); }
  std::string TakeNew();

 private:
  struct Column {
    std::int64_t index = 0;  // start is index * kColumnS
    double low_n = 0.0;
    double high_n = 0.0;
    bool missing = false;
  };
  std::string Json(std::size_t from, bool whole) const;

  int sleeve_;
  std::deque<Column> columns_;
  std::size_t unsent_ = 0;  // columns at the end that are new or changed
};

}  // namespace masseter

#endif  // MASSETER_APP_LIVE_TRACE_H_
