// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <unistd.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <nlohmann/json.hpp>

#include "app/bite_json.h"
#include "app/book.h"
#include "app/dog_files.h"
#include "app/file_io.h"
#include "app/live_publisher.h"
#include "app/record.h"
#include "app/recording.h"
#include "device/source.h"

namespace masseter {
namespace {

constexpr auto kTick = std::chrono::milliseconds(40);

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
    std::unique_ptr<Source> source;
    std::unique_ptr<Recording> recording;
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
      auto opened = OpenSource(io_, live->name);
      if (!opened) return tl::unexpected(opened.error());
      live->source = std::move(*opened);
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
    SourceEvents events;
    events.on_up = [this, &live](const std::string& text) {
      Check(Begin(live));
      Say("Recording: " + text);
    };
    events.on_bytes = [this, &live](std::span<const char> bytes, double host) {
      last_bytes_ = std::chrono::steady_clock::now();
      Check(live.recording->Take(bytes, host));
    };
    events.on_end = [this, &live](std::optional<Error> error) {
      Ended(live, std::move(error));
    };
    live.source->Start(std::move(events));
  }

  void Ended(Live& live, std::optional<Error> error) {
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
    for (auto& live : sources_) Check(live->recording->Tick());
    if (done_) return;
    publisher_->SetModelNoise(sources_.front()->recording->sample_noise_n());
    MindTheMarks();
    const std::chrono::duration<double> silence =
        std::chrono::steady_clock::now() - last_bytes_;
    publisher_->Publish(silence.count());
    timer_.expires_after(kTick);
    timer_.async_wait([this](const boost::system::error_code& error) {
      if (!error) Tick();
    });
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
  std::chrono::steady_clock::time_point last_bytes_ =
      std::chrono::steady_clock::now();
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
