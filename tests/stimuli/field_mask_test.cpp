#include "stimuli/field_mask.h"

#include <catch2/catch.hpp>
#include <numeric>

#include "support/random_picture.h"

using namespace isoseam;

namespace {

FieldMask::Shares shares_at(const FieldMask& mask, int column, int row) {
    const std::uint32_t cell = mask.cell(column, row);
    if (cell >= kRegionCount)
        return mask.edges.at(cell - kRegionCount);
    FieldMask::Shares shares{};
    shares[cell] = static_cast<std::uint16_t>(FieldMask::kFull);
    return shares;
}

}  // namespace

TEST_CASE("a mask holds the shares of a layout in whole numbers that add up to all") {
    for (std::uint64_t i = 0; i < 40; ++i) {
        const FieldLayout layout = drawn_layout(test::random_picture(i, 10, 320, 240));
        const FieldMask mask = field_mask(layout);
        int wrong_sums = 0;
        double worst = 0.0;
        for (int row = 0; row < 240; ++row) {
            for (int column = 0; column < 320; ++column) {
                const FieldMask::Shares shares = shares_at(mask, column, row);
                wrong_sums += std::accumulate(shares.begin(), shares.end(), 0U) != FieldMask::kFull ? 1 : 0;
                const PartShares exact = layout.part_shares(column, row);
                for (std::size_t k = 0; k < kRegionCount; ++k)
                    worst = std::max(worst, std::abs(shares[k] - exact[k] * FieldMask::kFull));
            }
        }
        CHECK(wrong_sums == 0);
        // Half a unit of rounding each, and what the other seven leave over goes to one.
        CHECK(worst <= 4.0);
        CHECK(worst > 0.25);
    }
}
