#include "cli/command_line.h"

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <cstdint>
#include <optional>
#include <utility>

#include "cli/usage_words.h"

namespace masseter::cli {

Parameter& Parameter::Required() {
  option_->required();
  return *this;
}

Parameter& Parameter::Again() {
  option_->expected(1)->take_all();
  return *this;
}

Parameter& Parameter::SplitAt(char separator) {
  option_->delimiter(separator);
  return *this;
}

Parameter& Parameter::NotEmpty() {
  option_->check([](const std::string& text) {
    return text.empty() ? std::string("is empty") : std::string();
  });
  return *this;
}

Parameter& Parameter::Between(double low, double high) {
  option_->check(cli::Between(low, high));
  return *this;
}

Parameter& Parameter::OneOf(const std::vector<std::string>& words) {
  option_->check(cli::OneOf(words));
  return *this;
}

Command::Command(CLI::App& program, const std::string& name,
                 const std::string& help)
    : command_(program.add_subcommand(name, help)) {}

template <class T>
Parameter Command::Add(const std::string& name, T& value,
                       const std::string& help) {
  return Parameter(command_->add_option(name, value, help));
}

template Parameter Command::Add(const std::string&, std::string&,
                                const std::string&);
template Parameter Command::Add(const std::string&, std::optional<std::string>&,
                                const std::string&);
template Parameter Command::Add(const std::string&, std::vector<std::string>&,
                                const std::string&);
template Parameter Command::Add(const std::string&, double&,
                                const std::string&);
template Parameter Command::Add(const std::string&, std::optional<double>&,
                                const std::string&);
template Parameter Command::Add(const std::string&, std::int64_t&,
                                const std::string&);
template Parameter Command::Add(const std::string&,
                                std::optional<std::int64_t>&,
                                const std::string&);
template Parameter Command::Add(const std::string&, std::vector<std::int64_t>&,
                                const std::string&);
template Parameter Command::Add(const std::string&, std::uint64_t&,
                                const std::string&);
template Parameter Command::Add(const std::string&, int&, const std::string&);
template Parameter Command::Add(const std::string&, std::optional<int>&,
                                const std::string&);

void Command::AddFlag(const std::string& name, bool& value,
                      const std::string& help) {
  command_->add_flag(name, value, help);
}

void Command::Bind(Call& call, const std::string& example,
                   std::function<Expected<void>(bool json)> body) {
  AddFlag("--json", call.json, "Answer as one JSON document");
  command_->footer("Example:\n  " + example);
  command_->callback([&call, body = std::move(body)] {
    call.run = [&call, body] { return body(call.json); };
  });
}

}  // namespace masseter::cli
