// Writes the invented field day as a report: masseter_report_example day.html
#include <cstdio>
#include <string>

#include "report/example_model.h"
#include "report/report_html.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("usage: masseter_report_example FILE.html\n", stderr);
    return 2;
  }
  const std::string html =
      masseter::ReportHtml(masseter::report::ExampleModel());
  std::FILE* file = std::fopen(argv[1], "wb");
  if (file == nullptr) {
    std::perror(argv[1]);
    return 4;
  }
  const bool written =
      std::fwrite(html.data(), 1, html.size(), file) == html.size();
  const bool closed = std::fclose(file) == 0;
  return written && closed ? 0 : 4;
}
