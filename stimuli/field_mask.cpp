#include "stimuli/field_mask.h"

#include <algorithm>
#include <cmath>

namespace isoseam {

namespace {

FieldMask::Shares in_whole_numbers(const PartShares& shares) {
    FieldMask::Shares whole{};
    int left = static_cast<int>(FieldMask::kFull);
    for (std::size_t k = 0; k < shares.size(); ++k) {
        whole[k] = static_cast<std::uint16_t>(std::lround(shares[k] * FieldMask::kFull));
        left -= whole[k];
    }
    // Because of rounding the sum is a few units too small or too large. The largest share takes the
    // difference, because it matters least there.
    auto& largest = *std::max_element(whole.begin(), whole.end());
    largest = static_cast<std::uint16_t>(largest + left);
    return whole;
}

}  // namespace

std::uint32_t FieldMask::cell(int column, int row) const {
    const int x = column - left_px;
    const int y = row - top_px;
    if (x < 0 || x >= width_px || y < 0 || y >= height_px)
        return static_cast<std::uint32_t>(FieldRegion::surround);
    return cells[static_cast<std::size_t>(y) * static_cast<std::size_t>(width_px) +
                 static_cast<std::size_t>(x)];
}

FieldMask field_mask(const FieldLayout& layout) {
    const ViewingGeometry& viewing = layout.viewing();
    const double extent_px = layout.extent_px();
    FieldMask mask;
    mask.left_px = std::max(static_cast<int>(std::floor(viewing.centre_x_px - extent_px)), 0);
    mask.top_px = std::max(static_cast<int>(std::floor(viewing.centre_y_px - extent_px)), 0);
    const int right_px =
        std::min(static_cast<int>(std::ceil(viewing.centre_x_px + extent_px)), viewing.width_px);
    const int bottom_px =
        std::min(static_cast<int>(std::ceil(viewing.centre_y_px + extent_px)), viewing.height_px);
    mask.width_px = right_px - mask.left_px;
    mask.height_px = bottom_px - mask.top_px;
    mask.cells.reserve(static_cast<std::size_t>(mask.width_px) * static_cast<std::size_t>(mask.height_px));
    for (int row = mask.top_px; row < bottom_px; ++row) {
        for (int column = mask.left_px; column < right_px; ++column) {
            const PartShares exact = layout.part_shares(column, row);
            const auto alone = std::find(exact.begin(), exact.end(), 1.0);  // most pixels: nothing to round
            if (alone != exact.end()) {
                mask.cells.push_back(static_cast<std::uint32_t>(alone - exact.begin()));
                continue;
            }
            const FieldMask::Shares shares = in_whole_numbers(exact);
            const auto whole = std::find(shares.begin(), shares.end(), FieldMask::kFull);
            if (whole != shares.end()) {
                mask.cells.push_back(static_cast<std::uint32_t>(whole - shares.begin()));
            } else {
                mask.cells.push_back(static_cast<std::uint32_t>(kRegionCount + mask.edges.size()));
                mask.edges.push_back(shares);
            }
        }
    }
    return mask;
}

}  // namespace isoseam
