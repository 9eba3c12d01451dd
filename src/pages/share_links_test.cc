#include "pages/share_links.h"

#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "pages/qr_testing.h"

namespace masseter {
namespace {

using Json = nlohmann::json;

TEST(ShareLinks, HoldTheCodeBehindTheSharpSignAndNowhereElse) {
  const auto links =
      ShareLinks({"192.0.2.7", 8600}, {"K7QF3M2XPD", "9RSTVWXYZ0"});
  ASSERT_EQ(links.size(), 2U);
  EXPECT_EQ(links[0].role, PageRole::kOperator);
  EXPECT_EQ(links[0].url, "http://192.0.2.7:8600/#K7QF3M2XPD");
  EXPECT_EQ(links[1].role, PageRole::kOnlooker);
  EXPECT_EQ(links[1].url, "http://192.0.2.7:8600/#9RSTVWXYZ0");
}

TEST(ShareMessage, HasTheShapeOfTheExampleInApi) {
  std::ifstream file(std::string(MASSETER_SOURCE_DIR) + "/api/share.json");
  const Json example = Json::parse(file);
  const Json made = Json::parse(
      ShareMessage({{PageRole::kOnlooker, example["links"][0]["url"]}}));
  ASSERT_EQ(made["links"].size(), 1U);
  const Json& theirs = example["links"][0];
  const Json& ours = made["links"][0];
  EXPECT_EQ(made["type"], example["type"]);
  EXPECT_EQ(made.size(), example.size());
  EXPECT_EQ(ours.size(), theirs.size());
  EXPECT_EQ(ours["role"], theirs["role"]);
  EXPECT_EQ(ours["qr"].size(), theirs["qr"].size());
  // Masks may differ between encoders; what is read may not.
  for (const Json& link : {ours, theirs}) {
    EXPECT_EQ(qr_testing::Decode(qr_testing::Drawn(link["qr"])), theirs["url"]);
  }
  EXPECT_EQ(ShareMessage({}), R"({"type":"share","links":[]})");
}

}  // namespace
}  // namespace masseter
