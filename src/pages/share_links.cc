#include "pages/share_links.h"

#include <nlohmann/json.hpp>

#include "pages/network.h"
#include "pages/qr_code.h"

namespace masseter {

std::vector<ShareLink> ShareLinks(const ListenAddress& listen,
                                  const AccessCodes& codes) {
  std::vector<ShareLink> links;
  for (const ListenAddress& address : CallableAt(listen)) {
    links.push_back({PageRole::kOperator, address.Url() + "#" + codes.operate});
    links.push_back({PageRole::kOnlooker, address.Url() + "#" + codes.look_on});
  }
  return links;
}

std::string ShareMessage(const std::vector<ShareLink>& links) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const ShareLink& link : links) {
    list.push_back({{"role", RoleName(link.role)},
                    {"url", link.url},
                    {"qr", QrModules(link.url)}});
  }
  return nlohmann::ordered_json{{"type", "share"}, {"links", list}}.dump();
}

}  // namespace masseter
