// Shared pages without a socket: what a visitor gets with no code, with the
// onlooker's and with the operator's.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pages/http_answer.h"

namespace masseter {
namespace {

namespace http = boost::beast::http;
using ::testing::HasSubstr;
using ::testing::MatchesRegex;
using ::testing::Not;

const AccessCodes kCodes{"K7QF3M2XPD", "9RSTVWXYZ0"};
constexpr const char* kHost = "192.0.2.7:8600";

const Asset kAssets[] = {
    {"/", "text/html", "\"aa\"", false, "SECRET PAGE", "SECRET GZIP", false},
    {"/door", "text/html", "\"dd\"", false, "<p><!--said--></p>", "gz", true},
    {"/door-1234ABCD.js", "text/javascript", "\"ee\"", true, "go()", "gz",
     true},
    {"/app-1234ABCD.js", "text/javascript", "\"bb\"", true, "SECRET()", "gz",
     false}};

class DoorAnswer : public ::testing::Test {
 protected:
  HttpRequest Request(http::verb verb, const char* target) const {
    HttpRequest request{verb, target, 11};
    request.set(http::field::host, kHost);
    return request;
  }
  HttpRequest Get(const char* target, const std::string& cookie = "") const {
    HttpRequest request = Request(http::verb::get, target);
    if (!cookie.empty()) request.set(http::field::cookie, cookie);
    return request;
  }
  HttpRequest Post(const std::string& body) const {
    HttpRequest request = Request(http::verb::post, "/enter");
    request.set(http::field::origin, std::string("http://") + kHost);
    request.body() = body;
    return request;
  }
  HttpResponse AnswerTo(const HttpRequest& request) {
    return Answer(request, visitor_, {gate_, &door_, kAssets});
  }
  auto AdmitTo(const HttpRequest& request) {
    return Admit(request, visitor_, {gate_, &door_, kAssets});
  }
  std::string CookieFor(const char* body) {
    const std::string cookie(AnswerTo(Post(body))[http::field::set_cookie]);
    return cookie.substr(0, cookie.find(';'));
  }
  static std::string Field(const HttpResponse& response, const char* name) {
    return std::string(response[name]);
  }

  Gate gate_{{"0.0.0.0", 8600}, {}};
  Door door_{kCodes};
  Visitor visitor_{"127.0.0.1", true, {}};  // this machine needs one too
};

TEST_F(DoorAnswer, GivesNothingButTheDoorWithoutACode) {
  for (const char* cookie : {"", "masseter_8600=0", "masseter_8600=K7QF3M2XPD",
                             "masseter_8600=", "other=1"}) {
    const HttpResponse front = AnswerTo(Get("/", cookie));
    EXPECT_EQ(front.result(), http::status::ok);
    EXPECT_EQ(front.body(), "<p></p>");
    EXPECT_EQ(Field(front, "Cache-Control"), "no-store");
    EXPECT_EQ(AnswerTo(Get("/door-1234ABCD.js", cookie)).body(), "go()");
    // The same words whether there is something or not.
    std::string first;
    for (const char* target :
         {"/app-1234ABCD.js", "/nothing", "/live", "/index.html", "//"}) {
      const HttpResponse refused = AnswerTo(Get(target, cookie));
      EXPECT_EQ(refused.result(), http::status::forbidden) << target;
      EXPECT_THAT(refused.body(), Not(HasSubstr("SECRET")));
      if (first.empty()) first = refused.body();
      EXPECT_EQ(refused.body(), first) << target;
    }
    EXPECT_FALSE(AdmitTo(Get("/live", cookie)));
  }
  HttpRequest known = Get("/");
  known.set(http::field::if_none_match, "\"aa\"");
  EXPECT_EQ(AnswerTo(known).result(), http::status::ok);
}

TEST_F(DoorAnswer, TurnsACodeIntoASessionOfItsRole) {
  for (const auto& [body, role] :
       {std::pair{"code=K7QF3-M2XPD", PageRole::kOperator},
        std::pair{"code=9rstv+wxyzo", PageRole::kOnlooker}}) {
    const HttpResponse in = AnswerTo(Post(body));
    EXPECT_EQ(in.result(), http::status::see_other);
    EXPECT_EQ(Field(in, "Location"), "/");
    const std::string cookie = Field(in, "Set-Cookie");
    EXPECT_THAT(cookie, MatchesRegex("masseter_8600=[0-9a-f]{64}; Path=/; "
                                     "HttpOnly; SameSite=Strict"));
    const std::string pair = cookie.substr(0, cookie.find(';'));
    EXPECT_EQ(AnswerTo(Get("/", pair)).body(), "SECRET PAGE");
    EXPECT_EQ(AnswerTo(Get("/app-1234ABCD.js", pair)).body(), "SECRET()");
    EXPECT_EQ(AnswerTo(Get("/nothing", pair)).result(),
              http::status::not_found);
    EXPECT_EQ(AnswerTo(Get("/door", pair)).body(), "<p></p>");
    EXPECT_EQ(AdmitTo(Get("/live", pair)).value(), role);
    // A cookie of the same name from another port does not hide it.
    EXPECT_EQ(AdmitTo(Get("/live", "masseter_8600=x; " + pair)).value(), role);
  }
}

TEST_F(DoorAnswer, SaysThatACodeIsWrongWithoutRepeatingIt) {
  const HttpResponse wrong = AnswerTo(Post("code=K7QF3M2XPE"));
  EXPECT_EQ(wrong.result(), http::status::forbidden);
  EXPECT_THAT(wrong.body(), HasSubstr("opens nothing here"));
  EXPECT_THAT(wrong.body(), Not(HasSubstr("K7QF3")));
  EXPECT_EQ(Field(wrong, "Set-Cookie"), "");
  // The form must be sent with its Origin, and only here.
  EXPECT_EQ(Field(wrong, "Referrer-Policy"), "same-origin");
  EXPECT_THAT(Field(wrong, "Content-Security-Policy"),
              HasSubstr("form-action 'self'"));
}

TEST_F(DoorAnswer, AsksToWaitAfterFiveWrongCodes) {
  for (int i = 0; i < 5; ++i) AnswerTo(Post("code=WRONG"));
  HttpResponse wait = AnswerTo(Post("code=K7QF3M2XPD"));
  EXPECT_EQ(wait.result(), http::status::too_many_requests);
  EXPECT_EQ(Field(wait, "Retry-After"), "2");
  EXPECT_THAT(wait.body(), HasSubstr("Wait 2 s"));
  visitor_.now += std::chrono::seconds(2);
  EXPECT_EQ(AnswerTo(Post("code=K7QF3M2XPD")).result(),
            http::status::see_other);
}

TEST_F(DoorAnswer, TakesNoCodeFromAnotherSite) {
  for (const char* origin : {"null", "http://stranger.example",
                             "http://192.0.2.7:80", "http://192.0.2.7"}) {
    HttpRequest request = Post("code=K7QF3M2XPD");
    request.set(http::field::origin, origin);
    const HttpResponse response = AnswerTo(request);
    EXPECT_EQ(response.result(), http::status::forbidden) << origin;
    EXPECT_EQ(Field(response, "Set-Cookie"), "");
  }
  HttpRequest request = Post("code=K7QF3M2XPD");
  request.erase(http::field::origin);
  request.set("Sec-Fetch-Site", "cross-site");
  request.set("Sec-Fetch-Mode", "navigate");
  request.set("Sec-Fetch-Dest", "document");
  EXPECT_EQ(AnswerTo(request).result(), http::status::forbidden);
}

TEST_F(DoorAnswer, RefusesARebindingNameEvenWithASession) {
  const std::string cookie = CookieFor("code=K7QF3M2XPD");
  HttpRequest request = Get("/", cookie);
  request.set(http::field::host, "stranger.example:8600");
  EXPECT_EQ(AnswerTo(request).result(), http::status::forbidden);
  HttpRequest live = Get("/live", cookie);
  live.set(http::field::host, "stranger.example:8600");
  live.set(http::field::origin, "http://stranger.example:8600");
  EXPECT_FALSE(AdmitTo(live));
  HttpRequest post = Post("code=K7QF3M2XPD");
  post.set(http::field::host, "stranger.example:8600");
  post.set(http::field::origin, "http://stranger.example:8600");
  EXPECT_EQ(AnswerTo(post).result(), http::status::forbidden);
}

TEST_F(DoorAnswer, ListensToNoPageOfAnotherSiteEvenWithASession) {
  HttpRequest live = Get("/live", CookieFor("code=K7QF3M2XPD"));
  live.set(http::field::origin, "http://stranger.example");
  EXPECT_FALSE(AdmitTo(live));
  live.set(http::field::origin, std::string("http://") + kHost);
  EXPECT_TRUE(AdmitTo(live));
}

TEST_F(DoorAnswer, IsOnlyReadBesides) {
  for (const http::verb verb : {http::verb::post, http::verb::put,
                                http::verb::delete_, http::verb::options}) {
    EXPECT_EQ(AnswerTo(Request(verb, "/")).result(),
              http::status::method_not_allowed);
  }
  EXPECT_EQ(AnswerTo(Get("/enter")).result(), http::status::see_other);
  EXPECT_EQ(AnswerTo(Get("/enter?code=K7QF3M2XPD")).body(),
            "The page is at /\n");
}

}  // namespace
}  // namespace masseter
