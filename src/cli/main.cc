// The program: reads the command line, runs one command, turns errors into one
// line on standard error and an exit code.
#include <clocale>
#include <csignal>
#include <cstdio>

#include "cli/command.h"
#include "cli/usage_words.h"

namespace {

using masseter::Error;
using masseter::ErrorKind;

int ExitCode(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::kBadInput:
      return 2;
    case ErrorKind::kAnswerNo:
      return 3;
    case ErrorKind::kMachine:
      return 4;
  }
  return 4;
}

// One line, whatever a file name or a device put into the text.
void Complain(const std::string& text) {
  std::string line = "masseter: ";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    line += byte < 0x20 || byte == 0x7f ? ' ' : c;
  }
  line += '\n';
  std::fputs(line.c_str(), stderr);
}

int ParseAndRun(CLI::App& app, masseter::cli::Call& call, int argc,
                char** argv) {
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);
    Complain(masseter::cli::UsageWords(app, error));
    return 2;
  }
  if (!call.run) {
    std::fputs(app.help().c_str(), stdout);
    return 0;
  }
  const auto done = call.run();
  if (done) return 0;
  Complain(done.error().Text());
  return ExitCode(done.error().kind);
}

}  // namespace

int main(int argc, char** argv) {
  std::signal(SIGPIPE, SIG_IGN);
  // A file that may not grow is an error of a write, not the end.
  std::signal(SIGXFSZ, SIG_IGN);
  CLI::App app(
      "The measuring bench for instrumented bite sleeves: from what a homemade "
      "sleeve prints to bites in newtons, each with its uncertainty.",
      "masseter");
  app.set_version_flag("--version", MASSETER_VERSION);
  app.require_subcommand(0, 1);
  app.get_formatter()->label("REQUIRED", "(required)");
  for (const char* number : {"FLOAT", "INT", "UINT"}) {
    app.get_formatter()->label(number, "NUMBER");
  }
  app.footer("masseter COMMAND --help shows an example of each.");
  masseter::cli::Call call;
  masseter::cli::AddNew(app, call);
  masseter::cli::AddCalibrate(app, call);
  masseter::cli::AddCalibrations(app, call);
  masseter::cli::AddCertificate(app, call);
  masseter::cli::AddImport(app, call);
  masseter::cli::AddInspect(app, call);
  masseter::cli::AddStatus(app, call);
  masseter::cli::AddBites(app, call);
  masseter::cli::AddAmend(app, call);
  masseter::cli::AddExplain(app, call);
  masseter::cli::AddLive(app, call);
  masseter::cli::AddCopy(app, call);
  masseter::cli::AddExport(app, call);
  masseter::cli::AddReport(app, call);
  masseter::cli::AddClaim(app, call);
  masseter::cli::AddCompare(app, call);
  masseter::cli::AddAgree(app, call);
  masseter::cli::AddBodymass(app, call);
  masseter::cli::AddSeason(app, call);
  masseter::cli::AddPlan(app, call);
  masseter::cli::AddReadings(app, call);
  masseter::cli::AddCheck(app, call);
  masseter::cli::AddTaps(app, call);
  masseter::cli::AddSelftest(app, call);
  masseter::cli::AddSim(app, call);
  masseter::cli::AddDemo(app, call);
  return ParseAndRun(app, call, argc, argv);
}
