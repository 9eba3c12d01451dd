#include "app/record_session.h"

#include <limits>

#include "app/dog_files.h"
#include "app/file_io.h"
#include "device/source.h"

namespace masseter {
namespace {

constexpr auto kTick = std::chrono::milliseconds(40);
constexpr double kClosedS = 5.0;
constexpr double kUnpluggedS = 20.0;
constexpr double kMuteS = 5.0;

}  // namespace

Expected<RecordAnswer> RecordSession::Run() {
  if (auto ok = Prepare(); !ok) return tl::unexpected(ok.error());
  if (auto ok = StartCopies(); !ok) return tl::unexpected(ok.error());
  book_.logbook.BePatient(request_.most_waiting_bytes);
  hub_.SetActionHandler(
      [this](const std::string& json) { return Queue(json); });
  for (auto& source : sources_) Start(*source);
  Tick();
  io_.run();
  hub_.SetActionHandler({});
  const auto kept = KeepTheRest();
  LastCopy();
  if (!kept) return tl::unexpected(kept.error());
  if (failure_) return tl::unexpected(*failure_);
  answer_.samples = 0;
  for (const auto& source : sources_) {
    if (!source->recording->begun()) continue;
    answer_.captures.push_back(source->recording->capture());
    answer_.samples += source->recording->samples();
    answer_.bites += source->recording->bites();
  }
  return answer_;
}

Expected<void> RecordSession::Prepare() {
  for (const std::string& text : request_.sources) {
    auto name = ParseSourceName(text);
    if (!name) return tl::unexpected(name.error());
    auto live = std::make_unique<Live>();
    live->name = *name;
    live->number = static_cast<int>(sources_.size());
    sources_.push_back(std::move(live));
  }
  std::vector<std::string> names;
  for (const auto& live : sources_) names.push_back(live->name.text);
  publisher_ = std::make_unique<LivePublisher>(hub_, book_, names);
  if (auto ok = LoadDay(); !ok) return ok;
  for (auto& live : sources_) {
    const bool first = live->number == 0;
    live->recording = std::make_unique<Recording>(
        book_,
        Recording::Sleeve{live->number, live->name.text,
                          first ? request_.marks : std::vector<Mark>()},
        *publisher_, [this](const Bite& bite) { Bitten(bite); });
    auto opened = LastingSource::Open(io_, live->name);
    if (!opened) return tl::unexpected(opened.error());
    live->source = std::move(*opened);
    if (HasWayBack(live->name)) {
      live->recording->SetReply(
          [source = live->source.get()](std::span<const std::uint8_t> bytes) {
            source->Send(bytes);
          });
    }
  }
  if (request_.on_ready) request_.on_ready();
  return {};
}

// A source that never comes up leaves nothing in the logbook.
Expected<void> RecordSession::Begin() {
  if (!request_.roster.empty() && !roster_put_) {
    if (auto ok = book_.logbook.PutRoster(request_.roster); !ok) return ok;
    roster_put_ = true;
    return RefreshRoster();
  }
  return {};
}

void RecordSession::Start(Live& live) {
  LastingEvents events;
  events.on_up = [this, &live](const std::string& text, bool again) {
    live.last_bytes = Clock::now();
    if (again) return Found(live, text);
    Check(Begin());
    Say("Recording: " + text);
  };
  events.on_bytes = [this, &live](std::span<const char> bytes, double host) {
    live.last_bytes = Clock::now();
    Check(live.recording->Take(bytes, host));
  };
  events.on_lost = [this, &live](const Error& error) { Lost(live, error); };
  events.on_end = [this, &live](std::optional<Error> error) {
    Ended(live, std::move(error));
  };
  events.patience = [this, &live](const Error& error) {
    return Patience(live, error);
  };
  live.source->Start(std::move(events));
}

double RecordSession::Patience(const Live& live, const Error& error) const {
  if (request_.reconnect_s) return *request_.reconnect_s;
  // A sleeve that speaks frames says when it goes for good.
  const bool says_goodbye = live.recording->frames();
  const bool gone = says_goodbye ? live.recording->sleeve().left
                                 : error.what == kDeviceClosed;
  if (gone) return kClosedS;
  return live.name.kind == SourceName::Kind::kSerial && !says_goodbye
             ? kUnpluggedS
             : std::numeric_limits<double>::infinity();
}

void RecordSession::Lost(Live& live, const Error& error) {
  live.loss = error;
  Tell("warn", "Lost: " + error.Text() + "; looking for it");
}

void RecordSession::Found(Live& live, const std::string& text) {
  live.loss.reset();
  const bool anywhere = live.name.kind == SourceName::Kind::kSerial;
  Check(live.recording->LinkUp(anywhere));
  Tell("info", "Recording again: " + text);
}

void RecordSession::Ended(Live& live, std::optional<Error> error) {
  live.loss = error;
  // A file's last line is whole; a broken connection may have torn it.
  Check(live.recording->End(!error.has_value()));
  StopWhenAllEnded();
  if (!error) return;
  if (answer_.lost || !done_) Say(error->Text());
  if (!answer_.lost) answer_.lost = std::move(error);
}

void RecordSession::StopWhenAllEnded() {
  for (const auto& live : sources_) {
    if (!live->recording->ended()) return;
  }
  TellDay();
  publisher_->End(book_.logbook.waiting().why
                      ? "The source ended; the last samples are not stored yet."
                      : "The source ended; what was recorded is kept.");
  timer_.cancel();
  done_ = true;
}

void RecordSession::Check(Expected<void> result) {
  if (result || failure_) return;
  failure_ = result.error();
  StopAll();
}

void RecordSession::StopAll() {
  for (auto& live : sources_) {
    live->source->Stop();
    if (live->recording->ended()) continue;
    if (live->loss && !answer_.lost) answer_.lost = live->loss;
    const auto ended = live->recording->End(false);
    if (!ended && !failure_) failure_ = ended.error();
  }
  StopWhenAllEnded();
}

void RecordSession::Tick() {
  if (done_) return;
  if (request_.stop != nullptr && request_.stop->load()) {
    StopAll();
    return;
  }
  const std::chrono::duration<double> now = Clock::now().time_since_epoch();
  for (auto& live : sources_) {
    RenewIfMute(*live);
    Check(live->recording->Tick(now.count()));
  }
  if (done_) return;
  const double now_unix_s = NowUnixS();
  for (auto& live : sources_) {
    publisher_->SetModelNoise(live->number, live->recording->sample_noise_n());
    publisher_->SetUp(live->number, live->recording->up());
    publisher_->SetLost(live->number, live->loss.has_value());
  }
  TickDay();
  MindTheDisk();
  MindTheCopy();
  for (auto& live : sources_) {
    publisher_->Publish(live->number, Silence(*live), now_unix_s);
  }
  timer_.expires_after(kTick);
  timer_.async_wait([this](const boost::system::error_code& error) {
    if (!error) Tick();
  });
}

double RecordSession::Silence(const Live& live) {
  return std::chrono::duration<double>(Clock::now() - live.last_bytes).count();
}

// A sleeve that speaks frames says something every second: a connection that
// is silent is dead, whatever the system thinks of it.
void RecordSession::RenewIfMute(Live& live) {
  if (live.name.kind != SourceName::Kind::kTcp) return;
  if (!live.recording->frames() || Silence(live) < kMuteS) return;
  live.source->Renew("nothing came for 5 s");
}

void RecordSession::Say(const std::string& text) {
  if (request_.say) request_.say(text);
}

// On the terminal and on the page.
void RecordSession::Tell(const std::string& level, const std::string& text) {
  Say(text);
  publisher_->Say(level, text);
}

}  // namespace masseter
