#include <boost/asio/post.hpp>
#include <nlohmann/json.hpp>

#include "pages/connection.h"

namespace masseter {
namespace {

namespace beast = boost::beast;
namespace websocket = boost::beast::websocket;
namespace net = boost::asio;
using Json = nlohmann::json;

// Signs of life that a page may ask for, far more than a browser does.
constexpr double kPingsBurst = 20.0;
constexpr double kPingsPerS = 2.0;

// The answer to an action that was not taken.
Json Refused(std::string_view of, std::string_view text) {
  return {{"type", "refused"}, {"of", of}, {"text", text}};
}

}  // namespace

LiveConnection::LiveConnection(beast::tcp_stream stream, Shared& shared,
                               PageRole role, Places::Place place)
    : socket_(std::move(stream)),
      shared_(shared),
      role_(role),
      place_(std::move(place)),
      actions_(shared.options.actions_burst, shared.options.actions_per_s),
      pings_(kPingsBurst, kPingsPerS),
      pause_(socket_.get_executor()),
      outbox_(shared.options.waiting_traces, shared.options.waiting_bytes) {}

LiveConnection::~LiveConnection() {
  if (subscription_) shared_.hub.Unsubscribe(*subscription_);
}

void LiveConnection::Accept(const HttpRequest& request) {
  websocket::stream_base::timeout timeout{};
  timeout.handshake_timeout = shared_.options.silence;
  timeout.idle_timeout = shared_.options.silence;
  timeout.keep_alive_pings = true;
  socket_.set_option(timeout);
  socket_.read_message_max(shared_.options.action_bytes);
  socket_.control_callback([this](websocket::frame_type kind, auto) {
    if (kind != websocket::frame_type::ping) return;
    if (!pings_.Take(std::chrono::steady_clock::now())) Stop();
  });
  socket_.async_accept(request, [self = shared_from_this()](Error error) {
    if (!error && !self->stopped_) self->Join();
  });
}

void LiveConnection::Join() {
  Queue(std::make_shared<const std::string>(
      Json{{"type", "role"}, {"role", RoleName(role_)}}.dump()));
  if (role_ == PageRole::kOperator) {
    Queue(std::make_shared<const std::string>(ShareMessage(shared_.links())));
  }
  // The listener runs on the recorder's thread, under the hub's lock: it only
  // hands the message over.
  subscription_ = shared_.hub.Subscribe(
      [weak = weak_from_this(),
       executor = socket_.get_executor()](Outbox::Text text) {
        net::post(executor, [weak, text = std::move(text)] {
          if (const auto self = weak.lock()) self->Queue(text);
        });
      });
  Read();
}

void LiveConnection::Stop() {
  if (std::exchange(stopped_, true)) return;
  if (subscription_) shared_.hub.Unsubscribe(*subscription_);
  subscription_.reset();
  pause_.cancel();
  Error ignored;
  beast::get_lowest_layer(socket_).socket().close(ignored);
}

// A page that says too much is read more slowly, which its own socket makes it
// feel; nothing it said is lost.
void LiveConnection::Read() {
  const SteadyTime now = std::chrono::steady_clock::now();
  if (actions_.Take(now)) return ReadNow();
  pause_.expires_after(
      std::chrono::ceil<std::chrono::milliseconds>(actions_.Wait(now)));
  pause_.async_wait([self = shared_from_this()](Error error) {
    if (!error && !self->stopped_) self->Read();
  });
}

void LiveConnection::ReadNow() {
  socket_.async_read(
      buffer_, [self = shared_from_this()](Error error, std::size_t) {
        if (error) return self->Stop();
        self->Act(beast::buffers_to_string(self->buffer_.data()));
        self->buffer_.consume(self->buffer_.size());
        self->Read();
      });
}

void LiveConnection::Act(const std::string& json) {
  const Json action = Json::parse(json, nullptr, false);
  const auto type = action.is_object() ? action.find("type") : action.end();
  Json answer;
  if (type == action.end() || !type->is_string()) {
    answer = Refused("", "the recorder does not understand this message");
  } else if (role_ != PageRole::kOperator) {
    answer = Refused(type->get<std::string>(),
                     "this page looks on; only the operator may do this");
  } else {
    const Expected<void> done = shared_.hub.Act(json);
    answer = done ? Json{{"type", "done"}, {"of", *type}}
                  : Refused(type->get<std::string>(), done.error().Text());
  }
  Queue(std::make_shared<const std::string>(
      answer.dump(-1, ' ', false, Json::error_handler_t::replace)));
}

void LiveConnection::Queue(Outbox::Text text) {
  if (stopped_) return;
  if (!outbox_.Push(std::move(text))) return Stop();
  if (!sending_) Write();
}

// The whole trace of a sleeve that this page fell behind with, or null.
Outbox::Text LiveConnection::WholeTrace() {
  const std::optional<int> sleeve = outbox_.TakeBehind();
  if (!sleeve) return nullptr;
  const auto kept = shared_.hub.Kept("trace:" + std::to_string(*sleeve));
  return kept || *sleeve > 0 ? kept : shared_.hub.Kept("trace");
}

void LiveConnection::Write() {
  sending_ = outbox_.Pop();
  if (!sending_) sending_ = WholeTrace();
  if (!sending_) return;
  socket_.text(true);
  socket_.async_write(net::buffer(*sending_),
                      [self = shared_from_this()](Error error, std::size_t) {
                        if (error) return self->Stop();
                        self->Write();
                      });
}

}  // namespace masseter
