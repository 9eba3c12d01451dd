// The words of the command line as each command declares them. CLI11 reads
// them; its headers, which cost each source that reads them seconds of
// compiling, stay behind command_line.cc and main.cc.
#ifndef MASSETER_CLI_COMMAND_LINE_H_
#define MASSETER_CLI_COMMAND_LINE_H_

#include <functional>
#include <string>
#include <vector>

#include "core/base/error.h"

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace masseter::cli {

// Filled while the command line is read; `run` is what the chosen command
// then does.
struct Call {
  bool json = false;
  std::function<Expected<void>()> run;
};

// One option or place of a command, for what else is to be said of it.
class Parameter {
 public:
  explicit Parameter(CLI::Option* option) : option_(option) {}

  Parameter& Required();
  // Takes one value each time it is given, and may be given again.
  Parameter& Again();
  Parameter& SplitAt(char separator);
  // Given as "" it must not look as if it was left out.
  Parameter& NotEmpty();
  Parameter& Between(double low, double high);
  Parameter& OneOf(const std::vector<std::string>& words);

 private:
  CLI::Option* option_;
};

// A command of the program.
class Command {
 public:
  Command(CLI::App& program, const std::string& name, const std::string& help);

  // "--name" is an option, "NAME" a place. T: std::string, double, an integer
  // of 64 bits, int; optional ones; vectors of strings and of integers
  // (command_line.cc instantiates them).
  template <class T>
  Parameter Add(const std::string& name, T& value, const std::string& help);
  void AddFlag(const std::string& name, bool& value, const std::string& help);

  // Adds `--json` and an example, and binds what the command does.
  void Bind(Call& call, const std::string& example,
            std::function<Expected<void>(bool json)> body);

 private:
  CLI::App* command_;
};

}  // namespace masseter::cli

#endif  // MASSETER_CLI_COMMAND_LINE_H_
