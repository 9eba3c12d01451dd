// The page beside a desk's terminal (`readings` and `check` with
// `--listen` or `--share`).
#ifndef MASSETER_CLI_DESK_PAGE_H_
#define MASSETER_CLI_DESK_PAGE_H_

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/bench_page.h"
#include "app/live_hub.h"
#include "cli/answers.h"
#include "cli/page_address.h"

namespace masseter::cli {

struct DeskPageRequest {
  PageOptions page;  // nothing given: no page
  std::string title;
  double patience_s = 60.0;
  std::vector<std::string> words;
};

class DeskPage {
 public:
  // Serves the page and joins it to `calls`, whose functions it wraps;
  // `session` and what `calls` holds outlive it. Null when no page was asked
  // for.
  static Expected<std::unique_ptr<DeskPage>> Open(
      const DeskPageRequest& request, const Rig& rig,
      const std::function<const BenchSession&()>& session, std::FILE* words,
      DeskCalls& calls);

  // Tells the pages how it ended and gives them a moment to hear it.
  void End(const std::string& text);

 private:
  DeskPage() = default;
  LiveHub hub_;
  std::unique_ptr<BenchPage> page_;
  std::optional<ServedPage> served_;  // goes first
};

}  // namespace masseter::cli

#endif  // MASSETER_CLI_DESK_PAGE_H_
