#include "cli/usage_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string_view>

#include "core/base/text_fields.h"

namespace masseter::cli {
namespace {

// Letters left out, added, exchanged or swapped with their neighbour (Damerau
// and Levenshtein's distance, each letter touched once).
std::size_t Distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> d(
      a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t other = a[i - 1] == b[j - 1] ? 0 : 1;
      d[i][j] =
          std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + other});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
      }
    }
  }
  return d[a.size()][b.size()];
}

std::string Meant(const std::string& word,
                  const std::vector<std::string>& known) {
  const std::string nearest = Nearest(word, known);
  return nearest.empty() ? "" : "; did you mean " + nearest;
}

std::vector<std::string> Commands(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::App* command : app.get_subcommands({})) {
    names.push_back(command->get_name());
  }
  return names;
}

std::vector<std::string> Options(const CLI::App& command) {
  std::vector<std::string> names;
  for (const CLI::Option* option : command.get_options()) {
    for (const std::string& name : option->get_lnames()) {
      names.push_back("--" + name);
    }
  }
  return names;
}

// The first word that `command` could not place; "" where it placed all.
// CLI11 gives them back in an order of its own: options are looked for first.
std::string Unplaced(const CLI::App& command) {
  const std::vector<std::string> words = command.remaining();
  const auto option =
      std::find_if(words.begin(), words.end(), [](const std::string& word) {
        return word.size() > 1 && word.front() == '-';
      });
  if (option != words.end()) return *option;
  return words.empty() ? "" : words.front();
}

// What CLI11 says of a value that it cannot convert: "Could not convert: NAME =
// VALUE".
std::optional<std::string> UnreadValue(std::string_view said) {
  constexpr std::string_view kBegin = "Could not convert: ";
  const std::size_t equals = said.find(" = ");
  if (!said.starts_with(kBegin) || equals == std::string_view::npos) {
    return std::nullopt;
  }
  const auto name = said.substr(kBegin.size(), equals - kBegin.size());
  const auto value = said.substr(equals + 3);
  return fmt::format("{}: is not a {}number: \"{}\"", name,
                     ParseNumber(value) ? "whole " : "", value);
}

std::string OfCommand(const CLI::App& command, const CLI::ParseError& error) {
  const std::string word = Unplaced(command);
  if (!word.empty() && word.front() == '-') {
    return fmt::format("{} has no option {}{}", command.get_name(), word,
                       Meant(word.substr(0, word.find('=')), Options(command)));
  }
  if (!word.empty()) {
    return fmt::format("\"{}\" is one word too many for {}", word,
                       command.get_name());
  }
  // "--from: 1 required TEXT missing"
  const std::string said = error.what();
  if (said.ends_with(" missing")) {
    return said.substr(0, said.find(':')) + " wants a value behind it";
  }
  return UnreadValue(said).value_or(said);
}

}  // namespace

std::string Nearest(const std::string& word,
                    const std::vector<std::string>& known) {
  std::string best;
  if (word.empty()) return best;
  std::size_t least = std::min<std::size_t>(2, (word.size() - 1) / 2) + 1;
  for (const std::string& name : known) {
    const std::size_t distance = Distance(word, name);
    if (distance >= least) continue;
    least = distance;
    best = name;
  }
  return best;
}

std::string UsageWords(const CLI::App& app, const CLI::ParseError& error) {
  const std::vector<CLI::App*> chosen = app.get_subcommands();
  const std::string word = Unplaced(app);
  if (!chosen.empty() && word.empty()) {
    return fmt::format("{} (see masseter {} --help)",
                       OfCommand(*chosen.front(), error),
                       chosen.front()->get_name());
  }
  if (word.empty()) return std::string(error.what()) + " (see masseter --help)";
  return fmt::format(
      "there is no {} {}{} (see masseter --help)",
      word.front() == '-' ? "option" : "command", word,
      Meant(word, word.front() == '-' ? Options(app) : Commands(app)));
}

CLI::Validator Between(double low, double high) {
  return {[low, high](const std::string& text) {
            const auto value = ParseNumber(text);
            if (!value) return fmt::format("is not a number: \"{}\"", text);
            if (*value >= low && *value <= high) return std::string();
            return fmt::format("must lie between {:g} and {:g}, not {}", low,
                               high, text);
          },
          ""};
}

CLI::Validator OneOf(const std::vector<std::string>& words) {
  return {[words](const std::string& text) {
            if (std::find(words.begin(), words.end(), text) != words.end()) {
              return std::string();
            }
            return fmt::format("must be {}, not \"{}\"",
                               fmt::join(words, " or "), text);
          },
          ""};
}

}  // namespace masseter::cli
