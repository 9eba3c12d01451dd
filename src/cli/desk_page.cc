#include "cli/desk_page.h"

#include <chrono>
#include <thread>

namespace masseter::cli {
namespace {

// Long enough for a page on a radio link to hear the last word.
constexpr auto kLastWord = std::chrono::milliseconds(400);

}  // namespace

Expected<std::unique_ptr<DeskPage>> DeskPage::Open(
    const DeskPageRequest& request, const Rig& rig,
    const std::function<const BenchSession&()>& session, std::FILE* words,
    DeskCalls& calls) {
  if (!request.page.given()) return std::unique_ptr<DeskPage>();
  std::unique_ptr<DeskPage> out(new DeskPage);
  out->page_ = std::make_unique<BenchPage>(out->hub_, rig, request.title,
                                           request.patience_s, request.words);
  auto served = ServePage(request.page, out->hub_);
  if (!served) return tl::unexpected(served.error());
  out->served_ = std::move(*served);
  const std::string address = "Bench page: " + out->served_->Address() + "\n";
  std::fputs((address + ShareWords(*out->served_, words)).c_str(), words);
  std::fflush(words);
  BenchPage& page = *out->page_;
  calls.line = [&page, session] { return page.NextLine(session()); };
  calls.show = [&page, session](const std::string& said) {
    page.Show(session(), said);
  };
  calls.take = [&page, take = calls.take](const FeedBlock& block) {
    page.Heard(block);
    return take(block);
  };
  return out;
}

void DeskPage::End(const std::string& text) {
  page_->End(text);
  std::this_thread::sleep_for(kLastWord);
}

}  // namespace masseter::cli
