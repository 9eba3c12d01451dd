// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <memory>

#include "app/file_io.h"
#include "app/sample_feed.h"
#include "core/signal/timeline.h"
#include "device/device_intake.h"
#include "device/source.h"

namespace masseter {
namespace {

constexpr auto kTick = std::chrono::milliseconds(50);
constexpr std::size_t kBlockRows = 4096;

std::optional<double> LastTemperature(const RawBlock& raw) {
  for (std::size_t c = 0; c < raw.layout.size(); ++c) {
    if (raw.layout[c].role != Role::kTemperatureC || raw.rows == 0) continue;
    return std::visit(
        [](const auto& values) { return static_cast<double>(values.back()); },
        raw.columns[c]);
  }
  return std::nullopt;
}

// Bytes of one source to samples.
class Reader {
 public:
  Reader(const Rig& rig,
         std::function<Expected<void>(const FeedBlock&)> on_samples)
      : on_samples_(std::move(on_samples)),
        timeline_(rig),
        intake_(rig, kBlockRows,
                [this](const RawBlock& raw) { return Take(raw); }) {}

  DeviceIntake& intake() { return intake_; }

 private:
  Expected<void> Take(const RawBlock& raw) {
    FeedBlock out;
    timeline_.Push(raw, out.samples);
    out.temp_c = LastTemperature(raw);
    out.host_time_s = raw.host_time_s;
    return on_samples_(out);
  }

  std::function<Expected<void>(const FeedBlock&)> on_samples_;
  Timeline timeline_;
  DeviceIntake intake_;
};

class Feed {
 public:
  Feed(const std::vector<FeedSource>& sources, const FeedEvents& events)
      : sources_(sources), events_(events), timer_(io_) {}

  Expected<void> Run() {
    for (const FeedSource& source : sources_) {
      auto name = ParseSourceName(source.name);
      if (!name) return tl::unexpected(name.error());
      auto opened = OpenSource(io_, *name);
      if (!opened) return tl::unexpected(opened.error());
      auto live = std::make_unique<Live>();
      live->way_back = HasWayBack(*name);
      live->is_file = name->kind == SourceName::Kind::kFile;
      live->source = std::move(*opened);
      live->name = source.name;
      live->reader = std::make_unique<Reader>(source.rig, source.on_samples);
      live_.push_back(std::move(live));
    }
    for (auto& live : live_) Start(*live);
    Tick();
    io_.run();
    if (failure_) return tl::unexpected(*failure_);
    return {};
  }

 private:
  struct Live {
    std::string name;
    bool is_file = false;
    bool way_back = false;
    std::unique_ptr<Source> source;
    std::unique_ptr<Reader> reader;
    bool ended = false;
  };

  void Start(Live& live) {
    SourceEvents events;
    events.on_up = [this](const std::string& text) {
      if (events_.on_up) events_.on_up(text);
    };
    events.on_bytes = [this, &live](std::span<const char> bytes, double host) {
      Check(live.reader->intake().Push(bytes, host));
    };
    events.on_end = [this, &live](std::optional<Error> error) {
      Ended(live, std::move(error));
    };
    if (live.way_back) {
      live.reader->intake().SetReply(
          [&live](std::span<const std::uint8_t> b) { live.source->Send(b); });
    }
    live.source->Start(std::move(events));
  }

  void Ended(Live& live, std::optional<Error> error) {
    live.ended = true;
    if (!error && live.is_file) {
      Check(live.reader->intake().Finish());
    } else if (!error) {
      error = Error{ErrorKind::kMachine, live.name, "the source ended"};
    }
    if (error) {
      Check(tl::unexpected(*error));
      return;
    }
    for (const auto& other : live_) {
      if (!other->ended) return;
    }
    Stop();
  }

  void Check(Expected<void> result) {
    if (result || failure_) return;
    failure_ = result.error();
    Stop();
  }

  void Stop() {
    done_ = true;
    timer_.cancel();
    for (auto& live : live_) live->source->Stop();
  }

  void Tick() {
    if (done_) return;
    for (auto& live : live_) {
      if (live->ended) continue;
      const std::chrono::duration<double> now =
          std::chrono::steady_clock::now().time_since_epoch();
      Check(live->reader->intake().Tick(now.count()));
      Check(live->reader->intake().Flush());
    }
    if (done_) return;
    if (events_.on_tick) {
      const auto go_on = events_.on_tick();
      if (!go_on) Check(tl::unexpected(go_on.error()));
      if (go_on && !*go_on) Stop();
    }
    if (done_) return;
    timer_.expires_after(kTick);
    timer_.async_wait([this](const boost::system::error_code& error) {
      if (!error) Tick();
    });
  }

  const std::vector<FeedSource>& sources_;
  const FeedEvents& events_;
  boost::asio::io_context io_;
  boost::asio::steady_timer timer_;
  std::vector<std::unique_ptr<Live>> live_;
  bool done_ = false;
  std::optional<Error> failure_;
};

}  // namespace

Expected<void> RunFeed(const std::vector<FeedSource>& sources,
                       const FeedEvents& events) {
  return Feed(sources, events).Run();
}

Expected<FeedBlock> ReadCapture(const std::string& path, const Rig& rig) {
  FeedBlock all;
  Reader reader(rig, [&](const FeedBlock& block) -> Expected<void> {
    AppendSamples(block.samples, all.samples);
    if (block.temp_c) all.temp_c = block.temp_c;
    return {};
  });
  auto read = ReadPieces(
      path,
      [&](std::span<const char> piece) { return reader.intake().Push(piece); },
      {});
  if (read) read = reader.intake().Finish();
  if (!read) {
    Error error = read.error();
    if (error.where.empty() || error.where.front() == ':') {
      error.where = path + error.where;
    }
    return tl::unexpected(std::move(error));
  }
  if (all.samples.size() == 0) return BadInput(path, "holds no sample");
  return all;
}

void AppendSamples(const SampleBlock& more, SampleBlock& all) {
  if (all.channel.size() < more.channel.size()) {
    all.channel.resize(more.channel.size());
  }
  all.t_s.insert(all.t_s.end(), more.t_s.begin(), more.t_s.end());
  all.before.insert(all.before.end(), more.before.begin(), more.before.end());
  for (std::size_t c = 0; c < more.channel.size(); ++c) {
    all.channel[c].insert(all.channel[c].end(), more.channel[c].begin(),
                          more.channel[c].end());
  }
}

}  // namespace masseter
