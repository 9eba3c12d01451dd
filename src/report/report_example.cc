// Writes the invented field day as a report:
//   masseter_report_example day.html
//   masseter_report_example --small small.html   the golden file of the tests
//   masseter_report_example --certificate cal.html   the fullest certificate
#include <cstdio>
#include <string>

#include "report/certificate_html.h"
#include "report/example_certificate.h"
#include "report/example_model.h"
#include "report/report_html.h"

int main(int argc, char** argv) {
  const std::string kind = argc == 3 ? argv[1] : "";
  if (argc != 2 && kind != "--small" && kind != "--certificate") {
    std::fputs(
        "usage: masseter_report_example [--small|--certificate] FILE.html\n",
        stderr);
    return 2;
  }
  const char* path = argv[argc - 1];
  const std::string html =
      kind == "--certificate"
          ? masseter::CertificateHtml(masseter::report::FullCertificate())
          : masseter::ReportHtml(kind == "--small"
                                     ? masseter::report::SmallModel()
                                     : masseter::report::ExampleModel());
  std::FILE* file = std::fopen(path, "wb");
  if (file == nullptr) {
    std::perror(path);
    return 4;
  }
  const bool written =
      std::fwrite(html.data(), 1, html.size(), file) == html.size();
  const bool closed = std::fclose(file) == 0;
  return written && closed ? 0 : 4;
}
