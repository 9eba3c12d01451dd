#include "pages/http_answer.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>

#include "pages/form.h"

namespace masseter {
namespace {

namespace http = boost::beast::http;

std::string_view View(boost::beast::string_view text) {
  return {text.data(), text.size()};
}

boost::beast::string_view Beast(std::string_view text) {
  return {text.data(), text.size()};
}

std::string_view Header(const HttpRequest& request, http::field field) {
  return View(request[field]);
}

// Some phones do not count ws: under 'self', so the checked Host is named. A
// host of any other form never gets here, but a header is no place to trust.
std::string ContentPolicy(std::string_view host, std::string_view forms) {
  std::string policy =
      "default-src 'none'; script-src 'self'; style-src 'self'; "
      "img-src 'self'; base-uri 'none'; form-action " +
      std::string(forms) + "; frame-ancestors 'none'; connect-src 'self'";
  const bool plain = std::all_of(host.begin(), host.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '.' ||
           c == '-' || c == ':' || c == '[' || c == ']';
  });
  if (plain && !host.empty()) policy += " ws://" + std::string(host);
  return policy;
}

HttpResponse Bare(const HttpRequest& request, http::status status,
                  std::string_view forms = "'none'") {
  HttpResponse response{status, request.version()};
  response.keep_alive(request.keep_alive());
  response.set("X-Content-Type-Options", "nosniff");
  response.set("Referrer-Policy", "no-referrer");
  response.set("X-Frame-Options", "DENY");
  response.set("Content-Security-Policy",
               ContentPolicy(Header(request, http::field::host), forms));
  response.set("Cross-Origin-Opener-Policy", "same-origin");
  response.set("Cross-Origin-Resource-Policy", "same-origin");
  return response;
}

// Sets the body and its length; HEAD gets the length alone.
void Fill(const HttpRequest& request, std::string_view body,
          HttpResponse& response) {
  if (request.method() == http::verb::head) {
    response.content_length(body.size());
    return;
  }
  response.body().assign(body);
  response.prepare_payload();
}

// True when a comma-separated header holds `word`, not switched off by q=0.
bool Lists(std::string_view header, std::string_view word) {
  for (const auto& item : http::ext_list(Beast(header))) {
    if (View(item.first) != word) continue;
    return std::none_of(
        item.second.begin(), item.second.end(), [](const auto& p) {
          return View(p.first) == "q" &&
                 (View(p.second) == "0" || View(p.second) == "0.0");
        });
  }
  return false;
}

HttpResponse File(const HttpRequest& request, const Asset& asset) {
  const bool known =
      Header(request, http::field::if_none_match).find(asset.etag) !=
      std::string_view::npos;
  HttpResponse response =
      Bare(request, known ? http::status::not_modified : http::status::ok);
  response.set(http::field::etag, Beast(asset.etag));
  response.set(
      http::field::cache_control,
      asset.immutable ? "private, max-age=31536000, immutable" : "no-cache");
  response.set(http::field::vary, "Accept-Encoding");
  if (known) return response;
  response.set(http::field::content_type, Beast(asset.mime));
  const bool gzip =
      Lists(Header(request, http::field::accept_encoding), "gzip");
  if (gzip) response.set(http::field::content_encoding, "gzip");
  Fill(request, gzip ? asset.gzip : asset.body, response);
  return response;
}

std::string_view PathOf(const HttpRequest& request) {
  const std::string_view target = View(request.target());
  return target.substr(0, target.find('?'));
}

bool Reads(const HttpRequest& request) {
  return request.method() == http::verb::get ||
         request.method() == http::verb::head;
}

// True when another site makes the browser ask (W3C Fetch Metadata), but for a
// link to a page that somebody follows. Browsers that do not say give no
// answer here; Host, Origin and the cookie's SameSite stand without it.
bool FromAnotherSite(const HttpRequest& request) {
  const std::string_view site = View(request["Sec-Fetch-Site"]);
  if (site.empty() || site == "same-origin" || site == "none") return false;
  const std::string_view place = View(request["Sec-Fetch-Dest"]);
  return !Reads(request) || View(request["Sec-Fetch-Mode"]) != "navigate" ||
         (place != "document" && !place.empty());
}

// Why a request is refused whatever it asks for, or "".
std::string_view Refusal(const HttpRequest& request, const Visitor& visitor,
                         const Site& site) {
  if (!site.gate.HostAllowed(Header(request, http::field::host))) {
    return "These pages answer only to the address they are served from, not "
           "to this name.";
  }
  if (FromAnotherSite(request)) {
    return "These pages answer only to themselves, not to another site.";
  }
  if (site.door == nullptr && !visitor.loopback) {
    return "These pages are for the recording machine itself.";
  }
  return "";
}

// Ports share their cookies, so the name says whose it is.
std::string CookieName(const Gate& gate) {
  return "masseter_" + std::to_string(gate.port());
}

std::optional<PageRole> RoleOf(const HttpRequest& request, const Site& site) {
  if (site.door == nullptr) return PageRole::kOperator;
  for (const std::string_view token : CookieValues(
           Header(request, http::field::cookie), CookieName(site.gate))) {
    if (const auto role = site.door->RoleOf(token)) return role;
  }
  return std::nullopt;
}

const Asset* Find(const Site& site, std::string_view path) {
  for (const Asset& asset : site.assets) {
    if (asset.path == path) return &asset;
  }
  return nullptr;
}

// The door with a sentence in it. Its form needs its Origin sent, which
// no-referrer would turn into "null" (Fetch, "append a request Origin header").
HttpResponse DoorPage(const HttpRequest& request, const Site& site,
                      http::status status, std::string_view said) {
  constexpr std::string_view kSaid = "<!--said-->";
  const Asset* door = Find(site, "/door");
  if (door == nullptr) return Sentence(request, status, said);
  std::string body(door->body);
  const std::size_t at = body.find(kSaid);
  if (at != std::string::npos) body.replace(at, kSaid.size(), said);
  HttpResponse response = Bare(request, status, "'self'");
  response.set("Referrer-Policy", "same-origin");
  response.set(http::field::content_type, Beast(door->mime));
  response.set(http::field::cache_control, "no-store");
  Fill(request, body, response);
  return response;
}

HttpResponse SeeOther(const HttpRequest& request, std::string_view where) {
  HttpResponse response =
      Sentence(request, http::status::see_other, "The page is at /");
  response.set(http::field::location, Beast(where));
  return response;
}

HttpResponse TooManyTries(const HttpRequest& request, const Site& site,
                          Seconds wait) {
  const std::string seconds =
      std::to_string(static_cast<std::int64_t>(std::ceil(wait.count())));
  HttpResponse response =
      DoorPage(request, site, http::status::too_many_requests,
               "Too many wrong codes from here. Wait " + seconds +
                   " s, then try again.");
  response.set(http::field::retry_after, seconds);
  return response;
}

// POST /enter
HttpResponse Enter(const HttpRequest& request, const Visitor& visitor,
                   const Site& site) {
  if (!site.gate.OriginAllowed(Header(request, http::field::origin),
                               Header(request, http::field::host))) {
    return Sentence(request, http::status::forbidden,
                    "A code is taken only from this server's own page.");
  }
  const Door::Answer answer = site.door->Enter(
      FormValue(request.body(), "code"), visitor.network, visitor.now);
  switch (answer.verdict) {
    case Door::Verdict::kWait:
      return TooManyTries(request, site, answer.wait);
    case Door::Verdict::kWrong:
      return DoorPage(request, site, http::status::forbidden,
                      "This code opens nothing here. Codes are new each time "
                      "the recorder starts.");
    case Door::Verdict::kIn:
      break;
  }
  HttpResponse response = SeeOther(request, "/");
  response.set(http::field::set_cookie,
               CookieName(site.gate) + "=" + answer.token +
                   "; Path=/; HttpOnly; SameSite=Strict");
  return response;
}

HttpResponse OnlyRead(const HttpRequest& request) {
  HttpResponse response = Sentence(request, http::status::method_not_allowed,
                                   "These pages are only read.");
  response.set(http::field::allow, "GET, HEAD");
  return response;
}

// For whoever has no session.
HttpResponse Outside(const HttpRequest& request, const Site& site,
                     std::string_view path) {
  if (path == "/") return DoorPage(request, site, http::status::ok, "");
  const Asset* asset = Find(site, path);
  if (asset != nullptr && asset->outside) return File(request, *asset);
  return Sentence(request, http::status::forbidden,
                  "Without a code there is only the door, at /");
}

HttpResponse Inside(const HttpRequest& request, const Site& site,
                    std::string_view path) {
  if (path == "/live") {
    return Sentence(request, http::status::upgrade_required,
                    "This address speaks WebSocket only.");
  }
  if (const Asset* asset = Find(site, path)) return File(request, *asset);
  return Sentence(request, http::status::not_found,
                  "There is nothing at this address; the page is at /");
}

}  // namespace

HttpResponse Sentence(const HttpRequest& request, http::status status,
                      std::string_view text) {
  HttpResponse response = Bare(request, status);
  response.set(http::field::content_type, "text/plain; charset=utf-8");
  response.set(http::field::cache_control, "no-store");
  Fill(request, std::string(text) + "\n", response);
  return response;
}

HttpResponse Answer(const HttpRequest& request, const Visitor& visitor,
                    const Site& site) {
  const std::string_view refusal = Refusal(request, visitor, site);
  if (!refusal.empty()) {
    return Sentence(request, http::status::forbidden, refusal);
  }
  const std::string_view path = PathOf(request);
  const bool posts = request.method() == http::verb::post;
  if (posts && path == "/enter" && site.door != nullptr) {
    return Enter(request, visitor, site);
  }
  if (!Reads(request)) return OnlyRead(request);
  if (path == "/enter") return SeeOther(request, "/");
  if (path == "/door") {
    // "#" drops the code of a link that somebody opened here.
    return site.door == nullptr ? SeeOther(request, "/#")
                                : DoorPage(request, site, http::status::ok, "");
  }
  return RoleOf(request, site) ? Inside(request, site, path)
                               : Outside(request, site, path);
}

tl::expected<PageRole, HttpResponse> Admit(const HttpRequest& request,
                                           const Visitor& visitor,
                                           const Site& site) {
  const auto refuse = [&request](http::status status, std::string_view text) {
    return tl::unexpected(Sentence(request, status, text));
  };
  const std::string_view refusal = Refusal(request, visitor, site);
  if (!refusal.empty()) return refuse(http::status::forbidden, refusal);
  if (!site.gate.OriginAllowed(Header(request, http::field::origin),
                               Header(request, http::field::host))) {
    return refuse(http::status::forbidden,
                  "Only this server's own page may listen here.");
  }
  const std::optional<PageRole> role = RoleOf(request, site);
  if (!role) {
    return refuse(http::status::forbidden,
                  "Without a code there is only the door, at /");
  }
  if (PathOf(request) != "/live") {
    return refuse(http::status::not_found, "The live messages are at /live");
  }
  return *role;
}

}  // namespace masseter
