#include <optional>
#include <string>
#include <string_view>

#include "device/sim/number_print.h"
#include "device/sim/truth.h"

namespace masseter::sim {
namespace {

std::string Quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    if (static_cast<unsigned char>(c) >= 0x20) out += c;
  }
  return out + '"';
}

std::string OrNull(const std::optional<double>& value, int decimals) {
  return value ? Fixed(*value, decimals) : "null";
}

std::string FaultJson(const TrueFault& f) {
  std::string out = "{\"kind\":" + Quoted(FaultWord(f.kind)) +
                    ",\"start_s\":" + Fixed(f.start_s, 4) +
                    ",\"end_s\":" + Fixed(f.end_s, 4);
  if (!f.channel.empty()) out += ",\"channel\":" + Quoted(f.channel);
  if (f.kind == FaultKind::kZero) out += ",\"moved_n\":" + Fixed(f.amount, 2);
  if (f.kind == FaultKind::kRestart)
    out += ",\"pause_s\":" + Fixed(f.pause_s, 3);
  return out + "}";
}

// Joins what `item` prints for every element: one a line.
template <class List, class Item>
std::string Lines(const List& list, Item item) {
  std::string out = "[";
  const char* before = "\n  ";
  for (const auto& element : list) {
    out += before + item(element);
    before = ",\n  ";
  }
  return out + "]";
}

std::string BiteJson(const TrueBite& b, int id) {
  const ShapeFigures& f = b.figures;
  std::string out =
      "{\"id\":" + std::to_string(id) + ",\"dog\":" + Quoted(b.dog) +
      ",\"start_s\":" + Fixed(b.start_s, 4) +
      ",\"end_s\":" + Fixed(b.end_s, 4) + ",\"peak_n\":" + Fixed(f.peak_n, 2) +
      ",\"peak_at_s\":" + Fixed(b.peak_at_s, 4) +
      ",\"seen_peak_n\":" + Fixed(b.seen_peak_n, 2) +
      ",\"strike_n\":" + Fixed(f.strike_n, 2) +
      ",\"squeeze_n\":" + OrNull(f.squeeze_n, 2) +
      ",\"held_n\":" + Fixed(f.held_n, 2) +
      ",\"impulse_ns\":" + Fixed(f.impulse_ns, 3) +
      ",\"regrips\":" + std::to_string(b.regrips) +
      ",\"shake_hz\":" + OrNull(b.shake_hz, 2) +
      ",\"out_at_s\":" + OrNull(b.out_at_s, 4) +
      ",\"x_mm\":" + Fixed(f.x_mm, 2) + ",\"y_mm\":" + Fixed(f.y_mm, 2) +
      ",\"faults\":[";
  const char* before = "";
  for (const TrueFault& fault : b.faults) {
    out += before + FaultJson(fault);
    before = ",";
  }
  return out + "]}";
}

}  // namespace

std::string TruthJson(const Truth& t) {
  std::string out = "{\"simulated\":true,\n \"club\":" + Quoted(t.club) +
                    ",\"town\":" + Quoted(t.town) +
                    ",\"seed\":" + std::to_string(t.seed) +
                    ",\n \"sample_rate_hz\":" + Fixed(t.sample_rate_hz, 4) +
                    ",\"samples\":" + std::to_string(t.samples) +
                    ",\"broken_lines\":" + std::to_string(t.broken_lines);
  int id = 0;
  out += ",\n \"bites\":" + Lines(t.bites, [&id](const TrueBite& bite) {
           return BiteJson(bite, ++id);
         });
  out += ",\n \"faults\":" + Lines(t.faults, FaultJson);
  out += ",\n \"handling\":" + Lines(t.handling, [](const Handling& h) {
           return "{\"kind\":" + Quoted(HandlingWord(h.kind)) +
                  ",\"start_s\":" + Fixed(h.start_s, 4) +
                  ",\"end_s\":" + Fixed(h.start_s + h.length_s, 4) +
                  ",\"force_n\":" + Fixed(h.force_n, 2) + "}";
         });
  return out + "}\n";
}

}  // namespace masseter::sim
