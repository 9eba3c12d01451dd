// What a user gets wrong: one line that names the place, exit 2, and nothing
// changed.
#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

struct Case {
  std::string name;
  std::vector<std::string> call;
  std::string names;  // what the message must hold
};

std::string Changed(std::string text, const std::string& from,
                    const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

// The file's text with line `number` (from 1) replaced.
std::string WithLine(const std::string& text, int number,
                     const std::string& line) {
  std::size_t at = 0;
  for (int i = 1; i < number; ++i) at = text.find('\n', at) + 1;
  return text.substr(0, at) + line + text.substr(text.find('\n', at));
}

class WrongInput : public testing::Test {
 protected:
  WrongInput() : book_(CalibratedBook(folder_)) {
    const Said imported = Masseter({"import", book_, Example("capture.csv")});
    EXPECT_EQ(imported.exit, 0) << imported.err;
    status_ = Masseter({"status", book_, "--json"}).out;
    bytes_ = FileText(book_);
  }

  void ExpectRefused(const Case& c) {
    SCOPED_TRACE(c.name);
    const std::vector<std::string> before = folder_.Names();
    const Said said = Masseter(c.call);
    EXPECT_EQ(said.exit, 2) << said.err;
    EXPECT_EQ(said.out, "");
    EXPECT_EQ(said.err.rfind("masseter: ", 0), 0U) << said.err;
    EXPECT_EQ(std::count(said.err.begin(), said.err.end(), '\n'), 1)
        << said.err;
    EXPECT_NE(said.err.find(c.names), std::string::npos)
        << said.err << "should name " << c.names;
    EXPECT_EQ(folder_.Names(), before);
    EXPECT_TRUE(FileText(book_) == bytes_) << "the logbook changed";
    EXPECT_EQ(Masseter({"status", book_, "--json"}).out, status_);
  }

  Folder folder_;
  std::string book_;
  std::string status_;
  std::string bytes_;
};

TEST_F(WrongInput, InRigFilesMakesNoLogbook) {
  const std::string rig = FileText(Example("rig.toml"));
  const auto call = [&](const std::string& name, const std::string& text) {
    return std::vector<std::string>{"new", folder_ / "new.book", "--rig",
                                    folder_.Write(name, text)};
  };
  const std::string nowhere = folder_ / "nowhere.toml";
  for (const Case& c : std::vector<Case>{
           {"broken TOML", call("a.toml", Changed(rig, "[text]", "[text")),
            "a.toml:"},
           {"unknown role",
            call("b.toml", Changed(rig, "\"supply_mv\"", "\"suply_mv\"")),
            "b.toml:"},
           {"misspelt key",
            call("c.toml", Changed(rig, "safe_load_n", "safe_laod_n")),
            "c.toml:"},
           {"unknown unit",
            call("d.toml", Changed(rig, "\"count\"", "\"stone\"")), "d.toml:"},
           {"two channels of one name",
            call("e.toml",
                 Changed(rig, "name       = \"c2\"", "name       = \"c1\"")),
            "e.toml"},
           {"empty", call("f.toml", ""), "f.toml"},
           {"missing",
            {"new", folder_ / "n.book", "--rig", nowhere},
            "nowhere.toml"},
           {"over a logbook",
            {"new", book_, "--rig", Example("rig.toml")},
            "day.book"},
       }) {
    ExpectRefused(c);
  }
}

TEST_F(WrongInput, InReadingsStoresNoCalibration) {
  const std::string good = FileText(Example("readings.csv"));
  const auto call = [&](const std::string& name, const std::string& text) {
    return std::vector<std::string>{"calibrate", book_,
                                    folder_.Write(name, text)};
  };
  const std::string row = "A,up,5.0,0.0,0.0,17.9,20,-31236.1,-28725.3,";
  for (const Case& c : std::vector<Case>{
           {"letter in a load",
            call("a.csv", WithLine(good, 14,
                                   "A,up,1o,0,0,17.9,20,-31236,-28725,35333,"
                                   "-30349")),
            "a.csv:14: mass_kg is not a number: \"1o\""},
           {"direction",
            call("b.csv", WithLine(good, 7,
                                   "A,sideways,5,0,0,17.9,20,1,2,"
                                   "3,4")),
            "b.csv:7"},
           {"not a number", call("c.csv", WithLine(good, 3, row + "nan,1")),
            "c.csv:3"},
           {"short row", call("d.csv", WithLine(good, 12, row)), "d.csv:12"},
           {"no channel", call("e.csv", Changed(good, ",c2,", ",cx,")),
            "e.csv:1"},
           {"empty", call("f.csv", ""), "f.csv"},
           {"header only", call("g.csv", good.substr(0, good.find('\n') + 1)),
            "g.csv"},
           {"gravity of another planet",
            {"calibrate", book_, Example("readings.csv"), "--gravity", "3.7"},
            "--gravity"},
           {"no such curve",
            {"calibrate", book_, Example("readings.csv"), "--curve", "round"},
            "--curve"},
       }) {
    ExpectRefused(c);
  }
}

TEST_F(WrongInput, InCapturesAndCompanionsStoresNothing) {
  const std::string good = Example("capture.csv");
  const auto import = [&](const std::string& name, const std::string& text) {
    return std::vector<std::string>{"import", book_, folder_.Write(name, text)};
  };
  const auto with = [&](const char* option, const std::string& name,
                        const std::string& text) {
    return std::vector<std::string>{"import", book_, good, option,
                                    folder_.Write(name, text)};
  };
  for (const Case& c : std::vector<Case>{
           {"empty", import("a.csv", ""), "a.csv"},
           {"no sample", import("b.csv", "hello\nworld\n"), "b.csv"},
           {"missing", {"import", book_, folder_ / "gone.csv"}, "gone.csv"},
           {"marks: no time", with("--marks", "c.csv", "t_s,dog\n0,A\nten,B\n"),
            "c.csv:3"},
           {"marks: header", with("--marks", "d.csv", "when,dog\n0,A\n"),
            "d.csv:1"},
           {"roster: mass",
            with("--roster", "e.csv", "dog,breed,mass_kg\nA,B,heavy\n"),
            "e.csv:2"},
           {"roster: twice",
            with("--roster", "f.csv", "dog,breed,mass_kg\nA,,\nA,,\n"),
            "f.csv:3"},
           {"dog without a name",
            {"import", book_, good, "--dog", ""},
            "--dog"},
       }) {
    ExpectRefused(c);
  }
}

TEST_F(WrongInput, AFileWithoutSamplesIsNoRecording) {
  const std::string roster = Example("roster.csv");
  const Said said =
      Masseter({"live", book_, "--from", "file:" + roster, "--no-page"});
  EXPECT_EQ(said.exit, 2);
  EXPECT_EQ(said.err.find("masseter: " + roster +
                          ":1: none of the lines is a sample"),
            0U)
      << said.err;
  EXPECT_EQ(Masseter({"status", book_, "--json"}).out, status_);
}

TEST_F(WrongInput, InCallsChangesNothing) {
  const std::string text = folder_.Write("text.book", "I am no logbook\n");
  const std::string there = folder_.Write("there.csv", "mine\n");
  for (const Case& c : std::vector<Case>{
           {"unknown command", {"bitse", book_}, "--help"},
           {"unknown option", {"bites", book_, "--jsn"}, "--jsn"},
           {"no argument", {"import"}, "BOOK"},
           {"misspelt option",
            {"live", book_, "--form", "-"},
            "no option --form; did you mean --from"},
           {"bench readings as a capture",
            {"import", book_, Example("readings.csv")},
            "readings.csv:1: the header has direction and mass_kg: these are "
            "bench readings"},
           {"no logbook", {"bites", folder_ / "no.book"}, "no.book"},
           {"text as a logbook", {"status", text}, "text.book"},
           {"live: no source", {"live", book_}, "--from"},
           {"live: unknown source",
            {"live", book_, "--from", "pigeon:9"},
            "pigeon"},
           {"live: port",
            {"live", book_, "--from", "tcp:127.0.0.1:99999"},
            "99999"},
           {"live: missing file",
            {"live", book_, "--from", "file:" + (folder_ / "zz.csv")},
            "zz.csv"},
           {"live: page nowhere",
            {"live", book_, "--from", "-", "--listen", "here"},
            "here"},
           {"live: page and none",
            {"live", book_, "--from", "-", "--no-page", "--listen",
             "127.0.0.1:0"},
            "--no-page"},
           {"live: shared and no page",
            {"live", book_, "--from", "-", "--no-page", "--share"},
            "--share"},
           {"live: open without codes",
            {"live", book_, "--from", "-", "--listen", "0.0.0.0:0"},
            "--share"},
           {"readings: page of no sleeve",
            {"readings", book_, "--share"},
            "--from"},
           {"check: page of no sleeve",
            {"check", book_, "--listen", "127.0.0.1:0"},
            "--from"},
           {"live: no logbook",
            {"live", folder_ / "no.book", "--from", "-", "--listen",
             "127.0.0.1:0"},
            "no.book"},
           {"sim: nothing to do", {"sim"}, "--to"},
           {"sim: unknown sink", {"sim", "--to", "pigeon:9"}, "pigeon"},
           {"sim: no host", {"sim", "--to", "udp:5000"}, "udp"},
           {"sim: cells", {"sim", "--to", "-", "--cells", "9"}, "--cells"},
           {"sim: speed", {"sim", "--to", "-", "--speed", "-1"}, "--speed"},
           {"sim: over a file", {"sim", "--to", "file:" + there}, "there.csv"},
           {"sim: both on standard output",
            {"sim", "--to", "-", "--json"},
            "--json"},
           {"demo: speed", {"demo", "--speed", "0"}, "--speed"},
           {"demo: over a logbook", {"demo", "--book", book_}, "day.book"},
           {"report: over the logbook",
            {"report", book_, "-o", book_},
            "day.book"},
           {"report: no file", {"report", book_}, "--out"},
           {"report: into no folder",
            {"report", book_, "-o", folder_ / "none/day.html"},
            "day.html"},
       }) {
    ExpectRefused(c);
  }
}

}  // namespace
}  // namespace masseter::integration
