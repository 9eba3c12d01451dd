#include <fmt/format.h>

#include "app/certificate_book.h"
#include "cli/command.h"
#include "report/certificate_html.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string out;
  std::optional<std::int64_t> calibration;
  std::string reference;
  std::string by;
};

Expected<void> Run(const Options& o, bool json) {
  if (o.out.empty() && !json) {
    return BadInput("-o", "names the file to write, as in -o cal.html");
  }
  if (json && o.out == "-") {
    return BadInput("--json", "and -o - both want standard output");
  }
  auto answer = CertificateOf({o.book, o.calibration, o.reference, o.by});
  if (!answer) return tl::unexpected(answer.error());
  if (o.out == "-") return Print(CertificateHtml(answer->model));
  if (!o.out.empty()) {
    const auto bytes = WriteCertificate(answer->model, o.book, o.out);
    if (!bytes) return tl::unexpected(bytes.error());
  }
  if (json) return PrintJson(answer->json);
  return Print(fmt::format(
      "Wrote {}: {}, one page to print and sign. It needs nothing else.\n",
      o.out, answer->model.number));
}

}  // namespace

void AddCertificate(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "certificate",
                  "A calibration as one page to print and sign");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("-o,--out", o->out,
              "The file to write (HTML), - for standard output");
  command.Add("--calibration", o->calibration,
              "Which calibration (the one in force)");
  command.Add("--reference-certificate", o->reference,
              "Certificate of the weights or the transducer, as "
              "\"no. 1234 of 2026-01-15\"");
  command.Add("--by", o->by, "Who calibrated, for the signature");
  Bind<Options>(command, call, o, "masseter certificate day.book -o cal.html",
                Run);
}

}  // namespace masseter::cli
