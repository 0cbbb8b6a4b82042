// Standards say insulation and isolation resistance of the same thing.
#include <gtest/gtest.h>

#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

TEST(RoleWords, InsulationIsIsolation) {
  const auto definitions = testing::Load(R"yaml(
byte order: big
frames:
  pack:
    id: 1
    signals: {leak: {where: bytes 0-1, unit: kohm, role: insulation resistance}}
)yaml");
  EXPECT_EQ(definitions->signals[definitions->FindSignal("leak").value()].role,
            "isolation resistance");
}

}  // namespace
}  // namespace proofdrive::decoders
