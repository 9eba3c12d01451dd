#include "device/device_intake.h"

#include <algorithm>
#include <string_view>
#include <utility>
#include <vector>

#include "wire/cobs.h"
#include "wire/frame.h"

namespace masseter {
namespace {

constexpr std::size_t kLeastLine = 8;

bool IsFrame(std::string_view coded) {
  std::vector<std::uint8_t> buffer(coded.size() + 1);
  wire_reader reader{buffer.data(), buffer.size(), 0, false, nullptr, 0};
  for (const char byte : coded) {
    wire_take(&reader, static_cast<std::uint8_t>(byte));
  }
  return wire_take(&reader, 0) == WIRE_FRAME;
}

// No control characters but blanks; bytes beyond ASCII may be UTF-8.
bool IsPrintable(std::string_view line) {
  return std::all_of(line.begin(), line.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 32 || c == '\t' || c == '\r' || c == '\n';
  });
}

}  // namespace

DeviceIntake::DeviceIntake(const Rig& rig, std::size_t block_rows, Sink sink)
    : rig_(rig), block_rows_(block_rows), sink_(std::move(sink)) {}

void DeviceIntake::SetReply(Reply reply) { reply_ = std::move(reply); }

// Looks at each byte once, so that it does not matter how they were cut.
DeviceIntake::Kind DeviceIntake::Guess() {
  for (; looked_ < unknown_.size(); ++looked_) {
    const char byte = unknown_[looked_];
    const std::string_view seen(unknown_.data(), looked_);
    if (byte == 0) {
      if (IsFrame(seen.substr(frame_))) return Kind::kFrames;
      frame_ = looked_ + 1;
    } else if (byte == '\n') {
      // Further on a short line may be chance.
      const bool enough = line_ == 0 || looked_ - line_ >= kLeastLine;
      if (enough && IsPrintable(seen.substr(line_))) return Kind::kText;
      line_ = looked_ + 1;
    }
    if (looked_ + 1 == kMostUnknown) return Kind::kText;
  }
  return Kind::kUnknown;
}

Expected<void> DeviceIntake::Begin(Kind kind, double host_time_s) {
  const std::string bytes = std::exchange(unknown_, {});
  if (kind == Kind::kText) {
    text_ = std::make_unique<TextIntake>(rig_, block_rows_, sink_);
    return text_->Push(bytes, host_time_s);
  }
  frames_ = std::make_unique<FrameIntake>(rig_, block_rows_, sink_);
  if (reply_) frames_->SetReply(reply_);
  if (auto ok = frames_->Tick(now_s_); !ok) return ok;
  return frames_->Push(bytes, host_time_s);
}

Expected<void> DeviceIntake::Push(std::span<const char> bytes,
                                  double host_time_s) {
  if (text_) return text_->Push(bytes, host_time_s);
  if (frames_) return frames_->Push(bytes, host_time_s);
  unknown_.append(bytes.begin(), bytes.end());
  const Kind kind = Guess();
  if (kind == Kind::kUnknown) return {};
  return Begin(kind, host_time_s);
}

Expected<void> DeviceIntake::Tick(double now_s) {
  now_s_ = now_s;
  if (frames_) return frames_->Tick(now_s);
  return {};
}

Expected<void> DeviceIntake::LinkUp(bool anywhere) {
  if (text_) return text_->Rejoin(anywhere);
  if (frames_) frames_->LinkUp();
  unknown_.clear();
  looked_ = 0;
  frame_ = 0;
  line_ = 0;
  return {};
}

Expected<void> DeviceIntake::Flush() {
  if (text_) return text_->Flush();
  if (frames_) return frames_->Flush();
  return {};
}

Expected<void> DeviceIntake::Finish(LastLine last) {
  if (!text_ && !frames_) {
    if (auto ok = Begin(Kind::kText, 0.0); !ok) return ok;
  }
  return text_ ? text_->Finish(last) : frames_->Finish();
}

const IntakeReport& DeviceIntake::report() const {
  if (text_) return text_->report();
  return frames_ ? frames_->report() : nothing_;
}

SleeveStatus DeviceIntake::sleeve() const {
  return frames_ ? frames_->sleeve() : SleeveStatus{};
}

WindowReport DeviceIntake::window() const {
  return frames_ ? frames_->window() : WindowReport{};
}

}  // namespace masseter
