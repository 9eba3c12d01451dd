#include "app/check_desk.h"

#include <fmt/format.h>

#include "core/base/text_fields.h"

namespace masseter {
namespace {

LoadPlan ZeroLoadZero(const CheckRequest& request) {
  LoadPlan plan;
  plan.by_mass = request.mass_kg.has_value();
  plan.places = {request.place.value_or(Place{})};
  plan.loads = {request.mass_kg.value_or(request.force_n.value_or(1.0))};
  plan.series = 1;
  plan.falling = false;
  return plan;
}

}  // namespace

CheckDesk::CheckDesk(const CheckRequest& request, const Rig& rig,
                     const SettleRule& rule)
    : request_(request),
      session_(ZeroLoadZero(request), rig.channels.size(), rule) {}

std::string CheckDesk::Greeting() const {
  return "A check load: zero, load, zero. Enter when the load is as asked and "
         "nothing touches it; stop ends.\n"
         "Keep feet and hands from under the load.\n";
}

std::string CheckDesk::Prompt() const {
  const auto asked = session_.asked();
  if (stopped_ || !asked || !asking()) return "";
  const LoadStep& step = session_.steps()[*asked];
  if (step.load == 0.0)
    return "[" + std::to_string(*asked + 1) + "/3] take everything off > ";
  std::string where;
  if (request_.place) {
    where = fmt::format(" at {:g} along, {:g} across (mm)",
                        request_.place->x_mm, request_.place->y_mm);
  }
  return fmt::format("[2/3] put on {:g} {}{} > ", step.load,
                     session_.plan().by_mass ? "kg" : "N", where);
}

Expected<std::string> CheckDesk::Answer(const std::string& line) {
  const std::string word(Trim(line));
  if (word == "stop") {
    stopped_ = true;
    return std::string("Stopped; nothing was stored.\n");
  }
  if (word == "again") {
    const auto last = session_.last_number();
    if (last) session_.Strike(*last, "taken again");
    return std::string();
  }
  if (word == "take") {
    if (!session_.TakeAsItIs()) {
      return std::string("There is no full window yet.\n");
    }
    return std::string("  taken as it is\n");
  }
  if (!word.empty() && word != "ok") {
    return fmt::format(
        "\"{}\" is not understood: Enter, take, again or stop.\n", word);
  }
  if (asking()) {
    session_.Placed();
    told_impatient_ = false;
  }
  return std::string();
}

Expected<std::string> CheckDesk::Take(const FeedBlock& block) {
  std::string out;
  std::vector<double> v(block.samples.channel.size());
  for (std::size_t i = 0; i < block.samples.size(); ++i) {
    for (std::size_t c = 0; c < v.size(); ++c) {
      v[c] = block.samples.channel[c][i];
    }
    const auto reading =
        session_.Add(block.samples.t_s[i], v,
                     block.samples.before[i] != Break::kNone, block.temp_c);
    if (reading) {
      out += fmt::format("  settled after {:.1f} s\n", reading->value.waited_s);
    }
  }
  if (session_.state() == BenchState::kImpatient && !told_impatient_) {
    told_impatient_ = true;
    out += "  It does not settle; \"take\" takes it as it is, or wait.\n";
  }
  return out;
}

SettledReading CheckDesk::At(std::size_t step) const {
  SettledReading out;
  for (const BenchReading& r : session_.readings()) {
    if (r.step == step && r.struck.empty()) out = r.value;
  }
  return out;
}

}  // namespace masseter
