// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <unistd.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <limits>
#include <nlohmann/json.hpp>

#include "app/bite_json.h"
#include "app/book.h"
#include "app/dog_files.h"
#include "app/file_io.h"
#include "app/live_publisher.h"
#include "app/record.h"
#include "app/recording.h"
#include "device/lasting_source.h"
#include "device/source.h"

namespace masseter {
namespace {

constexpr auto kTick = std::chrono::milliseconds(40);
constexpr double kClosedS = 5.0;
constexpr double kUnpluggedS = 20.0;
constexpr double kMuteS = 5.0;

// What an operator's page asked for.
struct Action {
  std::string type;
  std::string dog;
  std::string breed;
  std::optional<double> mass_kg;
};

Expected<Action> ParseAction(const std::string& json) {
  try {
    const auto j = nlohmann::json::parse(json);
    Action out;
    out.type = j.at("type").get<std::string>();
    if (j.contains("dog")) out.dog = j.at("dog").get<std::string>();
    if (j.contains("breed") && j.at("breed").is_string()) {
      out.breed = j.at("breed").get<std::string>();
    }
    if (j.contains("mass_kg") && j.at("mass_kg").is_number()) {
      out.mass_kg = j.at("mass_kg").get<double>();
    }
    return out;
  } catch (const nlohmann::json::exception&) {
    return BadInput("", "the action is not understood");
  }
}

class Session {
  using Clock = std::chrono::steady_clock;

 public:
  Session(Book& book, const RecordRequest& request, LiveHub& hub)
      : book_(book), request_(request), hub_(hub), timer_(io_) {}

  Expected<RecordAnswer> Run() {
    if (auto ok = Prepare(); !ok) return tl::unexpected(ok.error());
    hub_.SetActionHandler(
        [this](const std::string& json) { return Queue(json); });
    for (auto& source : sources_) Start(*source);
    Tick();
    io_.run();
    hub_.SetActionHandler({});
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

 private:
  struct Live {
    SourceName name;
    std::unique_ptr<LastingSource> source;
    std::unique_ptr<Recording> recording;
    Clock::time_point last_bytes = Clock::now();
    std::optional<Error> loss;  // while it is looked for
  };

  Expected<void> Prepare() {
    auto roster = book_.logbook.Roster();
    if (!roster) return tl::unexpected(roster.error());
    for (const std::string& text : request_.sources) {
      auto name = ParseSourceName(text);
      if (!name) return tl::unexpected(name.error());
      auto live = std::make_unique<Live>();
      live->name = *name;
      sources_.push_back(std::move(live));
    }
    publisher_ = std::make_unique<LivePublisher>(hub_, book_,
                                                 sources_.front()->name.text);
    publisher_->SetRoster(std::move(*roster));
    const std::string up = DogUp(request_.marks, 0.0);
    if (!up.empty()) publisher_->SetUp(up);
    bool first = true;
    for (auto& live : sources_) {
      live->recording = std::make_unique<Recording>(
          book_, live->name.text, first ? publisher_.get() : nullptr,
          request_.on_bite);
      auto opened = LastingSource::Open(io_, live->name);
      if (!opened) return tl::unexpected(opened.error());
      live->source = std::move(*opened);
      if (HasWayBack(live->name)) {
        live->recording->SetReply(
            [source = live->source.get()](std::span<const std::uint8_t> bytes) {
              source->Send(bytes);
            });
      }
      first = false;
    }
    if (request_.on_ready) request_.on_ready();
    return {};
  }

  // A source that never comes up leaves nothing in the logbook.
  Expected<void> Begin(Live& live) {
    if (!request_.roster.empty() && !roster_put_) {
      if (auto ok = book_.logbook.PutRoster(request_.roster); !ok) return ok;
      roster_put_ = true;
      if (auto all = book_.logbook.Roster()) {
        publisher_->SetRoster(std::move(*all));
      }
    }
    const bool first = &live == sources_.front().get();
    return live.recording->Begin(first ? request_.marks : std::vector<Mark>());
  }

  void Start(Live& live) {
    LastingEvents events;
    events.on_up = [this, &live](const std::string& text, bool again) {
      live.last_bytes = Clock::now();
      if (again) return Found(live, text);
      Check(Begin(live));
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

  double Patience(const Live& live, const Error& error) const {
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

  void Lost(Live& live, const Error& error) {
    live.loss = error;
    Tell("warn", "Lost: " + error.Text() + "; looking for it");
  }

  void Found(Live& live, const std::string& text) {
    live.loss.reset();
    const bool anywhere = live.name.kind == SourceName::Kind::kSerial;
    Check(live.recording->LinkUp(anywhere));
    Tell("info", "Recording again: " + text);
  }

  void Ended(Live& live, std::optional<Error> error) {
    live.loss = error;
    // A file's last line is whole; a broken connection may have torn it.
    Check(live.recording->End(!error.has_value()));
    StopWhenAllEnded();
    if (!error) return;
    if (answer_.lost || !done_) Say(error->Text());
    if (!answer_.lost) answer_.lost = std::move(error);
  }

  void StopWhenAllEnded() {
    for (const auto& live : sources_) {
      if (!live->recording->ended()) return;
    }
    publisher_->End("The source ended; what was recorded is kept.");
    timer_.cancel();
    done_ = true;
  }

  void Check(Expected<void> result) {
    if (result || failure_) return;
    failure_ = result.error();
    StopAll();
  }

  void StopAll() {
    for (auto& live : sources_) {
      live->source->Stop();
      if (live->recording->ended()) continue;
      if (live->loss && !answer_.lost) answer_.lost = live->loss;
      const auto ended = live->recording->End(false);
      if (!ended && !failure_) failure_ = ended.error();
    }
    StopWhenAllEnded();
  }

  void Tick() {
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
    publisher_->SetModelNoise(sources_.front()->recording->sample_noise_n());
    MindTheMarks();
    const Live& shown = *sources_.front();
    publisher_->SetLost(shown.loss.has_value());
    publisher_->Publish(Silence(shown));
    timer_.expires_after(kTick);
    timer_.async_wait([this](const boost::system::error_code& error) {
      if (!error) Tick();
    });
  }

  static double Silence(const Live& live) {
    return std::chrono::duration<double>(Clock::now() - live.last_bytes)
        .count();
  }

  // A sleeve that speaks frames says something every second: a connection that
  // is silent is dead, whatever the system thinks of it.
  void RenewIfMute(Live& live) {
    if (live.name.kind != SourceName::Kind::kTcp) return;
    if (!live.recording->frames() || Silence(live) < kMuteS) return;
    live.source->Renew("nothing came for 5 s");
  }

  // Marks given beforehand come into force as the capture reaches them.
  void MindTheMarks() {
    if (request_.marks.empty() || up_by_hand_) return;
    const std::string up =
        DogUp(request_.marks, sources_.front()->recording->last_s());
    if (up == up_) return;
    up_ = up;
    publisher_->SetUp(up);
  }

  void Say(const std::string& text) {
    if (request_.say) request_.say(text);
  }
  // On the terminal and on the page.
  void Tell(const std::string& level, const std::string& text) {
    Say(text);
    publisher_->Say(level, text);
  }

  // On the pages' thread: checked for form here, done on the recorder's.
  Expected<void> Queue(const std::string& json) {
    auto action = ParseAction(json);
    if (!action) return tl::unexpected(action.error());
    const bool known = action->type == "up" || action->type == "out" ||
                       action->type == "zero" || action->type == "dog";
    if (!known) return BadInput("", "there is no action " + action->type);
    const bool names_dog = action->type == "up" || action->type == "dog";
    if (names_dog && (action->dog.empty() || action->dog.front() == '!' ||
                      action->dog.size() > 60)) {
      return BadInput("", "a dog needs a name of up to 60 letters");
    }
    if (action->mass_kg &&
        !(*action->mass_kg > 0.0 && *action->mass_kg < 150.0)) {
      return BadInput("", "a dog's mass must lie between 0 and 150 kg");
    }
    boost::asio::post(io_, [this, a = std::move(*action)] { Do(a); });
    return {};
  }

  void Do(const Action& action) {
    if (done_) return;
    if (action.type == "dog") {
      Check(book_.logbook.PutRoster(
          {{action.dog, action.breed, action.mass_kg}}));
      auto roster = book_.logbook.Roster();
      if (roster) publisher_->SetRoster(std::move(*roster));
      return;
    }
    const std::string what = action.type == "up"    ? action.dog
                             : action.type == "out" ? std::string(kOutMark)
                                                    : std::string(kZeroMark);
    for (auto& live : sources_) Check(live->recording->MarkNow(what));
    if (action.type == "up") {
      up_by_hand_ = true;
      up_ = action.dog;
      publisher_->SetUp(action.dog);
    }
  }

  Book& book_;
  const RecordRequest& request_;
  LiveHub& hub_;
  boost::asio::io_context io_;
  boost::asio::steady_timer timer_;
  std::vector<std::unique_ptr<Live>> sources_;
  std::unique_ptr<LivePublisher> publisher_;
  std::string up_;
  bool up_by_hand_ = false;
  bool roster_put_ = false;
  bool done_ = false;
  std::optional<Error> failure_;
  RecordAnswer answer_;
};

}  // namespace

Expected<RecordAnswer> Record(const RecordRequest& request, LiveHub& hub) {
  if (request.sources.empty()) {
    return BadInput("--from",
                    "name a source, as in --from serial:/dev/ttyUSB0");
  }
  for (const std::string& text : request.sources) {
    const auto name = ParseSourceName(text);
    if (!name) return tl::unexpected(name.error());
    if (name->kind == SourceName::Kind::kFile &&
        ::access(name->path.c_str(), F_OK) != 0) {
      return BadInput(name->path, "no such file");
    }
  }
  auto book = OpenBook(request.book_path, Access::kRecord);
  if (!book) return tl::unexpected(book.error());
  return Session(*book, request, hub).Run();
}

}  // namespace masseter
