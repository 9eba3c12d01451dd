// Writes the invented field day as a report:
//   masseter_report_example day.html
//   masseter_report_example --small small.html   the golden file of the tests
#include <cstdio>
#include <string>

#include "report/example_model.h"
#include "report/report_html.h"

int main(int argc, char** argv) {
  const bool small = argc == 3 && std::string(argv[1]) == "--small";
  if (argc != 2 && !small) {
    std::fputs("usage: masseter_report_example [--small] FILE.html\n", stderr);
    return 2;
  }
  const char* path = argv[argc - 1];
  const std::string html =
      masseter::ReportHtml(small ? masseter::report::SmallModel()
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
