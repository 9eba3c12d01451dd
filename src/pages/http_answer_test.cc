#include "pages/http_answer.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

namespace masseter {
namespace {

namespace http = boost::beast::http;
using ::testing::HasSubstr;
using ::testing::Not;

const Asset kAssets[] = {
    {"/", "text/html; charset=utf-8", "\"aa\"", false, "<p>page", "GZIPPED"},
    {"/app-1234ABCD.js", "text/javascript", "\"bb\"", true, "run()", "gz"}};

HttpRequest Get(const char* target) {
  HttpRequest request{http::verb::get, target, 11};
  request.set(http::field::host, "127.0.0.1:8600");
  return request;
}

HttpResponse AnswerTo(const HttpRequest& request) {
  const Gate gate({"127.0.0.1", 8600}, {});
  return Answer(request, {"127.0.0.1", true, {}}, {gate, nullptr, kAssets});
}

std::string Field(const HttpResponse& response, const char* name) {
  return std::string(response[name]);
}

TEST(Answer, GivesThePageWithItsGuards) {
  const HttpResponse response = AnswerTo(Get("/?x=1"));
  EXPECT_EQ(response.result(), http::status::ok);
  EXPECT_EQ(response.body(), "<p>page");
  EXPECT_EQ(Field(response, "Cache-Control"), "no-cache");
  EXPECT_EQ(Field(response, "ETag"), "\"aa\"");
  EXPECT_EQ(Field(response, "X-Content-Type-Options"), "nosniff");
  EXPECT_EQ(Field(response, "Referrer-Policy"), "no-referrer");
  const std::string policy = Field(response, "Content-Security-Policy");
  EXPECT_THAT(policy, HasSubstr("script-src 'self'"));
  EXPECT_THAT(policy, HasSubstr("frame-ancestors 'none'"));
  EXPECT_THAT(policy, HasSubstr("form-action 'none'"));
  EXPECT_EQ(Field(response, "X-Frame-Options"), "DENY");
  EXPECT_EQ(Field(response, "Cross-Origin-Resource-Policy"), "same-origin");
  EXPECT_EQ(Field(response, "Cross-Origin-Opener-Policy"), "same-origin");
  EXPECT_THAT(policy, HasSubstr("connect-src 'self' ws://127.0.0.1:8600"));
  EXPECT_THAT(policy, Not(HasSubstr("unsafe")));
}

TEST(Answer, CompressesForWhoTakesIt) {
  HttpRequest request = Get("/app-1234ABCD.js");
  request.set(http::field::accept_encoding, "deflate, gzip;q=0.8");
  const HttpResponse response = AnswerTo(request);
  EXPECT_EQ(response.body(), "gz");
  EXPECT_EQ(Field(response, "Content-Encoding"), "gzip");
  EXPECT_EQ(Field(response, "Vary"), "Accept-Encoding");
  EXPECT_THAT(Field(response, "Cache-Control"), HasSubstr("immutable"));
  for (const char* no : {"", "identity", "gzip;q=0", "br"}) {
    request.set(http::field::accept_encoding, no);
    EXPECT_EQ(AnswerTo(request).body(), "run()") << no;
  }
}

TEST(Answer, SendsNothingTwice) {
  HttpRequest request = Get("/");
  request.set(http::field::if_none_match, "\"zz\", \"aa\"");
  const HttpResponse response = AnswerTo(request);
  EXPECT_EQ(response.result(), http::status::not_modified);
  EXPECT_TRUE(response.body().empty());
  request.set(http::field::if_none_match, "\"zz\"");
  EXPECT_EQ(AnswerTo(request).result(), http::status::ok);
}

TEST(Answer, GivesHeadTheLengthAlone) {
  HttpRequest request = Get("/");
  request.method(http::verb::head);
  const HttpResponse response = AnswerTo(request);
  EXPECT_TRUE(response.body().empty());
  EXPECT_EQ(Field(response, "Content-Length"), "7");
}

TEST(Answer, RefusesStrangeNamesMethodsAndPlaces) {
  HttpRequest request = Get("/");
  request.set(http::field::host, "stranger.example:8600");
  HttpResponse response = AnswerTo(request);
  EXPECT_EQ(response.result(), http::status::forbidden);
  EXPECT_THAT(response.body(), Not(HasSubstr("<p>page")));
  request = Get("/");
  request.method(http::verb::post);
  response = AnswerTo(request);
  EXPECT_EQ(response.result(), http::status::method_not_allowed);
  EXPECT_EQ(Field(response, "Allow"), "GET, HEAD");
  EXPECT_EQ(AnswerTo(Get("/../etc/passwd")).result(), http::status::not_found);
  EXPECT_EQ(AnswerTo(Get("/live")).result(), http::status::upgrade_required);
}

// W3C Fetch Metadata: what browsers say of who asks.
TEST(Answer, RefusesWhatAnotherSiteAsksFor) {
  HttpRequest request = Get("/app-1234ABCD.js");
  request.set("Sec-Fetch-Site", "cross-site");
  request.set("Sec-Fetch-Mode", "no-cors");
  request.set("Sec-Fetch-Dest", "script");
  EXPECT_EQ(AnswerTo(request).result(), http::status::forbidden);
  request.set("Sec-Fetch-Site", "same-site");  // this machine, another port
  EXPECT_EQ(AnswerTo(request).result(), http::status::forbidden);
  request.set("Sec-Fetch-Site", "same-origin");
  EXPECT_EQ(AnswerTo(request).result(), http::status::ok);
  // A link on another site may be followed, but not put into a frame.
  request = Get("/");
  request.set("Sec-Fetch-Site", "cross-site");
  request.set("Sec-Fetch-Mode", "navigate");
  request.set("Sec-Fetch-Dest", "document");
  EXPECT_EQ(AnswerTo(request).result(), http::status::ok);
  request.set("Sec-Fetch-Dest", "iframe");
  EXPECT_EQ(AnswerTo(request).result(), http::status::forbidden);
}

TEST(Answer, IsForThisMachineAloneWhenNotShared) {
  const Gate gate({"127.0.0.1", 8600}, {});
  const Site site{gate, nullptr, kAssets};
  const Visitor stranger{"192.0.2.7", false, {}};
  EXPECT_EQ(Answer(Get("/"), stranger, site).result(), http::status::forbidden);
  EXPECT_FALSE(Admit(Get("/live"), stranger, site));
  const Visitor own{"127.0.0.1", true, {}};
  EXPECT_EQ(Admit(Get("/live"), own, site).value(), PageRole::kOperator);
}

// "#" with nothing behind it: a redirect hands the old fragment on otherwise
// (Fetch, "HTTP-redirect fetch", location URL's fragment).
TEST(Answer, HasNoDoorWhenNotShared) {
  const HttpResponse response = AnswerTo(Get("/door"));
  EXPECT_EQ(response.result(), http::status::see_other);
  EXPECT_EQ(Field(response, "Location"), "/#");
}

TEST(EmbeddedAssets, AreAWholePageOfAtMost150KilobytesCompressed) {
  std::size_t total = 0;
  std::string index;
  std::string door;
  for (const Asset& asset : EmbeddedAssets()) {
    total += asset.gzip.size();
    if (asset.path == "/") index = asset.body;
    EXPECT_LT(asset.gzip.size(), asset.body.size() + 64);
    const bool page = asset.path == "/" || asset.path == "/door";
    if (asset.path == "/door") door = asset.body;
    EXPECT_EQ(asset.immutable, !page) << asset.path;
    EXPECT_NE(asset.mime.find(asset.path.ends_with(".svg") ? "svg" : "utf-8"),
              std::string_view::npos)
        << asset.path;
  }
  EXPECT_LE(total, 150U * 1024U);
  ASSERT_FALSE(index.empty());
  // Each file is asked for by the page or by the door; what a stranger gets is
  // the door's.
  for (const Asset& asset : EmbeddedAssets()) {
    const std::string path(asset.path);
    if (path == "/door") continue;
    const bool of_door = path != "/" && door.find(path) != std::string::npos;
    EXPECT_EQ(asset.outside, of_door) << path;
    EXPECT_TRUE(of_door || index.find(path) != std::string::npos) << path;
  }
  EXPECT_THAT(door, HasSubstr("<!--said-->"));
}

}  // namespace
}  // namespace masseter
