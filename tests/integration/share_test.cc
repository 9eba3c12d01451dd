// `--share` of the built program: what it prints, where a code may stand and
// where never, and what it answers to whoever has none.
#include <gmock/gmock.h>

#include <regex>
#include <sstream>

#include "tests/integration/program.h"
#include "tests/integration/sockets.h"

namespace masseter::integration {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

// One HTTP exchange with what listens on a port of this machine.
std::string Exchange(int port, const std::string& head,
                     const std::string& body = "") {
  const int fd = ConnectTo(port);
  SendAll(fd, head + "Host: 127.0.0.1:" + std::to_string(port) +
                  "\r\nConnection: close\r\nContent-Length: " +
                  std::to_string(body.size()) + "\r\n\r\n" + body);
  std::string answer;
  char bytes[4096];
  for (ssize_t n; (n = recv(fd, bytes, sizeof bytes, 0)) > 0;) {
    answer.append(bytes, static_cast<std::size_t>(n));
  }
  close(fd);
  return answer;
}

struct Printed {
  int port = 0;
  std::string operate;
  std::string look_on;
};

// Reads the links off the words of a run.
Printed ReadLinks(const std::string& words) {
  Printed out;
  std::smatch found;
  const std::regex link("operator +http://127\\.0\\.0\\.1:(\\d+)/#(\\w{10}) ");
  if (!std::regex_search(words, found, link)) return out;
  out.port = std::stoi(found[1]);
  out.operate = found[2];
  const std::regex typed(
      "To type: operator (\\w{5}-\\w{5}), onlooker "
      "(\\w{5})-(\\w{5})\n");
  if (!std::regex_search(words, found, typed)) return out;
  out.look_on = found[2].str() + found[3].str();
  return out;
}

// The words without the lines that exist to show a code.
std::string WithoutLinks(const std::string& words) {
  std::istringstream in(words);
  std::string out;
  for (std::string line; std::getline(in, line);) {
    const bool shows = line.find("/#") != std::string::npos ||
                       line.find("To type:") != std::string::npos;
    if (!shows) out += line + "\n";
  }
  return out;
}

void ExpectNoCode(const std::string& text, const Printed& codes,
                  const std::string& where) {
  for (const std::string& code : {codes.operate, codes.look_on}) {
    EXPECT_EQ(text.find(code), std::string::npos) << where;
    EXPECT_EQ(text.find(code.substr(0, 5) + "-" + code.substr(5)),
              std::string::npos)
        << where;
  }
}

class Share : public ::testing::TestWithParam<bool> {};

// With --json words go to standard error and the answer to standard output.
TEST_P(Share, PrintsItsCodesOnceAndKeepsThemOutOfEverythingElse) {
  const bool json = GetParam();
  const Folder folder;
  const std::string book = folder / "demo.book";
  std::vector<std::string> words = {"demo",        "--share", "--listen",
                                    "127.0.0.1:0", "--speed", "100",
                                    "--book",      book,      "--once"};
  if (json) words.push_back("--json");
  Process demo(words);
  const auto said = [&] { return json ? demo.err() : demo.out(); };
  ASSERT_TRUE(Eventually([&] { return !ReadLinks(said()).look_on.empty(); }))
      << demo.out() << demo.err();
  const Printed codes = ReadLinks(said());
  EXPECT_NE(codes.operate, codes.look_on);
  const std::string arguments =
      FileText("/proc/" + std::to_string(demo.pid()) + "/cmdline");
  EXPECT_THAT(arguments, HasSubstr("--share"));
  ExpectNoCode(arguments, codes, "arguments");

  std::string answers = Exchange(codes.port, "GET / HTTP/1.1\r\n");
  EXPECT_THAT(answers, HasSubstr("/enter"));
  answers += Exchange(codes.port, "GET /live HTTP/1.1\r\n");
  EXPECT_THAT(answers, HasSubstr("403 Forbidden"));
  const std::string post = "POST /enter HTTP/1.1\r\nOrigin: http://127.0.0.1:" +
                           std::to_string(codes.port) + "\r\n";
  answers += Exchange(codes.port, post, "code=" + codes.operate + "X");
  EXPECT_THAT(answers, HasSubstr("opens nothing here"));
  const std::string in = Exchange(codes.port, post, "code=" + codes.look_on);
  EXPECT_THAT(in, HasSubstr("Set-Cookie: masseter_"));
  ExpectNoCode(answers + in, codes, "answers");

  const Said end = demo.Wait();
  ASSERT_EQ(end.exit, 0) << end.err;
  ExpectNoCode(WithoutLinks(end.out), codes, "standard output");
  ExpectNoCode(WithoutLinks(end.err), codes, "standard error");
  if (json) {
    ExpectNoCode(end.out, codes, "the document");
    EXPECT_TRUE(end.Json().is_object());
  } else {
    ExpectNoCode(end.err, codes, "standard error, whole");
  }
  for (const std::string& name : folder.Names()) {
    ExpectNoCode(FileText(folder / name), codes, name);
  }
}

INSTANTIATE_TEST_SUITE_P(WithAndWithoutJson, Share, ::testing::Bool());

TEST(ShareOptions, ListenForOthersOnlyWithShare) {
  for (const char* listen : {"0.0.0.0:0", "[::]:0", "192.0.2.7:8600"}) {
    const Said said = Masseter({"demo", "--listen", listen});
    EXPECT_EQ(said.exit, 2);
    EXPECT_EQ(said.out, "");
    EXPECT_THAT(said.err, HasSubstr(listen));
    EXPECT_THAT(said.err, HasSubstr("--share"));
    EXPECT_EQ(std::count(said.err.begin(), said.err.end(), '\n'), 1)
        << said.err;
  }
}

TEST(ShareOptions, HaveNewCodesAtEveryStart) {
  std::vector<std::string> seen;
  for (int i = 0; i < 2; ++i) {
    const Folder folder;
    Process demo({"demo", "--share", "--listen", "127.0.0.1:0", "--book",
                  folder / "d.book"});
    ASSERT_TRUE(
        Eventually([&] { return !ReadLinks(demo.out()).look_on.empty(); }));
    seen.push_back(ReadLinks(demo.out()).operate);
    demo.Signal(SIGTERM);
    EXPECT_EQ(demo.Wait().exit, 0);
  }
  EXPECT_NE(seen[0], seen[1]);
}

}  // namespace
}  // namespace masseter::integration
