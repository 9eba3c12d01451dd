#include "pages/http_answer.h"

#include <algorithm>
#include <string>

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
std::string ContentPolicy(std::string_view host) {
  std::string policy =
      "default-src 'none'; script-src 'self'; style-src 'self'; "
      "img-src 'self'; base-uri 'none'; form-action 'none'; "
      "frame-ancestors 'none'; connect-src 'self'";
  const bool plain = std::all_of(host.begin(), host.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '.' ||
           c == '-' || c == ':' || c == '[' || c == ']';
  });
  if (plain && !host.empty()) policy += " ws://" + std::string(host);
  return policy;
}

HttpResponse Bare(const HttpRequest& request, http::status status) {
  HttpResponse response{status, request.version()};
  response.keep_alive(request.keep_alive());
  response.set("X-Content-Type-Options", "nosniff");
  response.set("Referrer-Policy", "no-referrer");
  response.set("Content-Security-Policy",
               ContentPolicy(Header(request, http::field::host)));
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
      asset.immutable ? "public, max-age=31536000, immutable" : "no-cache");
  response.set(http::field::vary, "Accept-Encoding");
  if (known) return response;
  response.set(http::field::content_type, Beast(asset.mime));
  const bool gzip =
      Lists(Header(request, http::field::accept_encoding), "gzip");
  if (gzip) response.set(http::field::content_encoding, "gzip");
  Fill(request, gzip ? asset.gzip : asset.body, response);
  return response;
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

HttpResponse Answer(const HttpRequest& request, const Gate& gate,
                    std::span<const Asset> assets) {
  if (!gate.HostAllowed(Header(request, http::field::host))) {
    return Sentence(request, http::status::forbidden,
                    "These pages answer only to the address they are served "
                    "from, not to this name.");
  }
  if (request.method() != http::verb::get &&
      request.method() != http::verb::head) {
    HttpResponse response = Sentence(request, http::status::method_not_allowed,
                                     "These pages are only read.");
    response.set(http::field::allow, "GET, HEAD");
    return response;
  }
  const std::string_view target = View(request.target());
  const std::string_view path = target.substr(0, target.find('?'));
  if (path == "/live") {
    return Sentence(request, http::status::upgrade_required,
                    "This address speaks WebSocket only.");
  }
  const auto found =
      std::find_if(assets.begin(), assets.end(),
                   [path](const Asset& asset) { return asset.path == path; });
  if (found == assets.end()) {
    return Sentence(request, http::status::not_found,
                    "There is nothing at this address; the page is at /");
  }
  return File(request, *found);
}

}  // namespace masseter
