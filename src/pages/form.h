// The small texts that browsers send: cookies and the fields of a form.
#ifndef MASSETER_PAGES_FORM_H_
#define MASSETER_PAGES_FORM_H_

#include <string>
#include <string_view>
#include <vector>

namespace masseter {

// Every value that a Cookie header (RFC 6265 4.2) gives `name`. Another server
// on this host may have set one of the same name, so there can be several.
std::vector<std::string_view> CookieValues(std::string_view header,
                                           std::string_view name);

// The first `name` of an application/x-www-form-urlencoded body (WHATWG URL
// 5.1), decoded; "" when it has none.
std::string FormValue(std::string_view body, std::string_view name);

}  // namespace masseter

#endif  // MASSETER_PAGES_FORM_H_
