#include "device/lasting_source.h"

#include <algorithm>

namespace masseter {
namespace {

constexpr std::chrono::milliseconds kFirstPause{200};
constexpr std::chrono::milliseconds kLongestPause{2000};
// A connection that was opened again and says nothing for so long is tried
// anew.
constexpr double kSilentS = 10.0;

}  // namespace

Expected<std::unique_ptr<LastingSource>> LastingSource::Open(
    boost::asio::io_context& io, const SourceName& name) {
  auto source = OpenSource(io, name);
  if (!source) return tl::unexpected(source.error());
  std::unique_ptr<LastingSource> lasting(new LastingSource(io, name));
  lasting->source_ = std::move(*source);
  return lasting;
}

void LastingSource::Start(LastingEvents events) {
  events_ = std::move(events);
  Open();
}

void LastingSource::Open() {
  SourceEvents events;
  events.on_bytes = [this](std::span<const char> bytes, double host_time_s) {
    OnBytes(bytes, host_time_s);
  };
  events.on_up = [this](const std::string& text) { OnUp(text); };
  events.on_end = [this](std::optional<Error> error) {
    OnEnd(std::move(error));
  };
  source_->Start(std::move(events));
}

void LastingSource::OnUp(const std::string& text) {
  up_ = true;
  if (!loss_) {
    if (events_.on_up) events_.on_up(text, false);
    return;
  }
  text_ = text;
  timer_.expires_after(std::chrono::duration_cast<Clock::duration>(
      std::chrono::duration<double>(std::min(LeftS(), kSilentS))));
  timer_.async_wait([this](const boost::system::error_code& error) {
    if (error || stopped_ || !loss_) return;
    source_->Stop();
    up_ = false;
    TryLater();
  });
}

void LastingSource::OnBytes(std::span<const char> bytes, double host_time_s) {
  if (loss_) {
    loss_.reset();
    pause_ = std::chrono::milliseconds(0);
    timer_.cancel();
    if (events_.on_up) events_.on_up(text_, true);
  }
  if (!stopped_ && events_.on_bytes) events_.on_bytes(bytes, host_time_s);
}

void LastingSource::OnEnd(std::optional<Error> error) {
  if (stopped_) return;
  const bool was_up = std::exchange(up_, false);
  if (error && loss_) return TryLater();
  if (error && was_up) return Lose(*error);
  stopped_ = true;
  if (events_.on_end) events_.on_end(std::move(error));
}

void LastingSource::Lose(const Error& error) {
  up_ = false;
  loss_ = error;
  lost_at_ = Clock::now();
  patience_s_ = events_.patience ? events_.patience(error) : 0.0;
  if (patience_s_ > 0.0 && events_.on_lost) events_.on_lost(error);
  if (!stopped_) TryLater();
}

double LastingSource::LeftS() const {
  const std::chrono::duration<double> looked = Clock::now() - lost_at_;
  return std::max(patience_s_ - looked.count(), 0.0);
}

void LastingSource::GiveUp() {
  stopped_ = true;
  if (events_.on_end) events_.on_end(loss_);
}

void LastingSource::TryLater() {
  if (LeftS() == 0.0) return GiveUp();
  pause_ = std::clamp(2 * pause_, kFirstPause, kLongestPause);
  timer_.expires_after(pause_);
  timer_.async_wait([this](const boost::system::error_code& error) {
    if (error || stopped_) return;
    auto source = OpenSource(io_, name_);
    if (!source) return TryLater();
    source_ = std::move(*source);
    Open();
  });
}

void LastingSource::Stop() {
  stopped_ = true;
  up_ = false;
  timer_.cancel();
  if (source_) source_->Stop();
}

void LastingSource::Send(std::span<const std::uint8_t> bytes) {
  if (up_) source_->Send(bytes);
}

void LastingSource::Renew(const std::string& why) {
  if (!up_ || stopped_ || loss_) return;
  source_->Stop();
  Lose({ErrorKind::kMachine, name_.text, why});
}

}  // namespace masseter
