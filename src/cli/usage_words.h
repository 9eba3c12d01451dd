// What is wrong with a call, in one sentence that names the word at fault and
// the help to read; guesses what a misspelt command or option was meant to be.
#ifndef MASSETER_CLI_USAGE_WORDS_H_
#define MASSETER_CLI_USAGE_WORDS_H_

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <string>
#include <vector>

namespace masseter::cli {

// The sentence behind "masseter: " for a call that `app` could not read.
std::string UsageWords(const CLI::App& app, const CLI::ParseError& error);

// The one of `known` that differs from `word` by the fewest letters left out,
// added, exchanged or swapped, at most two and less than half of them; "" for
// none.
std::string Nearest(const std::string& word,
                    const std::vector<std::string>& known);

// Hold an option to [low, high] and to one of some words, each with a sentence
// of ours.
CLI::Validator Between(double low, double high);
CLI::Validator OneOf(const std::vector<std::string>& words);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_USAGE_WORDS_H_
