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
  return Answer(request, Gate({"127.0.0.1", 8600}, {}), kAssets);
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

TEST(EmbeddedAssets, AreAWholePageOfAtMost150KilobytesCompressed) {
  std::size_t total = 0;
  std::string index;
  for (const Asset& asset : EmbeddedAssets()) {
    total += asset.gzip.size();
    if (asset.path == "/") index = asset.body;
    EXPECT_LT(asset.gzip.size(), asset.body.size() + 64);
    EXPECT_EQ(asset.immutable, asset.path != "/") << asset.path;
    EXPECT_NE(asset.mime.find(asset.path.ends_with(".svg") ? "svg" : "utf-8"),
              std::string_view::npos)
        << asset.path;
  }
  EXPECT_LE(total, 150U * 1024U);
  ASSERT_FALSE(index.empty());
  for (const Asset& asset : EmbeddedAssets()) {
    EXPECT_THAT(index, HasSubstr(std::string(asset.path)));
  }
}

}  // namespace
}  // namespace masseter
