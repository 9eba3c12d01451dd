// The links under which others open shared pages, and the message that takes
// them to an operator's page (api/share.json).
#ifndef MASSETER_PAGES_SHARE_LINKS_H_
#define MASSETER_PAGES_SHARE_LINKS_H_

#include <string>
#include <vector>

#include "pages/access_code.h"
#include "pages/gate.h"

namespace masseter {

// One way in. The code is the link's fragment, which a browser keeps to
// itself: it is in no request line, no Referer, no log.
struct ShareLink {
  PageRole role = PageRole::kOnlooker;
  std::string url;  // "http://192.0.2.7:8600/#K7QF3M2XPD"
};

// For every address at which others find `listen` now (network.h), the
// operator's and the onlooker's.
std::vector<ShareLink> ShareLinks(const ListenAddress& listen,
                                  const AccessCodes& codes);

// The message `share`: the links with their QR codes (qr_code.h).
std::string ShareMessage(const std::vector<ShareLink>& links);

}  // namespace masseter

#endif  // MASSETER_PAGES_SHARE_LINKS_H_
