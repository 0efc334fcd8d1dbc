#include "stimuli/picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "colorimetry/errors.h"

namespace isoseam {

namespace {

struct Part {
    double share;
    const RegionLight* light;
    const ToneTable* tone;
};

// In the order in which ties for the largest share are decided.
std::array<Part, 4> parts_of(const FieldPicture& picture, const RegionShares& shares) {
    return {Part{shares.first, &picture.first, picture.tone_first},
            Part{shares.second, &picture.second, picture.tone_second},
            Part{shares.surround, &picture.surround, picture.tone_surround},
            Part{shares.fixation, &picture.fixation, picture.tone_surround}};
}

// Mixed fractions may leave [0, 1] by rounding alone: the shares add up to 1.
double drive_from_table(const std::vector<float>& table, double linear) {
    const double place = std::clamp(linear, 0.0, 1.0) * (ToneTable::kSize - 1);
    const auto below = static_cast<std::size_t>(std::min(place, ToneTable::kSize - 2.0));
    const double rest = place - static_cast<double>(below);
    return (1.0 - rest) * static_cast<double>(table[below]) + rest * static_cast<double>(table[below + 1]);
}

std::array<std::uint16_t, 3> codes_of_pixel(const FieldPicture& picture, int column, int row) {
    const std::array<Part, 4> parts = parts_of(picture, picture.layout.shares(column, row));
    const Part& largest = *std::max_element(parts.begin(), parts.end(),
                                            [](const Part& a, const Part& b) { return a.share < b.share; });
    if (largest.share == 1.0)
        return largest.light->code;
    const double full = static_cast<double>((1 << picture.bits) - 1);
    std::array<std::uint16_t, 3> codes{};
    for (std::size_t channel = 0; channel < 3; ++channel) {
        double linear = 0.0;
        for (const Part& part : parts)
            linear += part.share * part.light->linear[channel];
        const double drive = drive_from_table(largest.tone->drive_from_linear[channel], linear);
        codes[channel] = static_cast<std::uint16_t>(std::floor(drive * full + 0.5));
    }
    return codes;
}

}  // namespace

ToneTable tone_table(const DisplayModel& display) {
    ISOSEAM_CHECK(display.primary_count() == 3, fmt::format("{} primaries", display.primary_count()));
    ToneTable table;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const ToneResponse& tone = display.tone(static_cast<int>(channel));
        table.drive_from_linear[channel].reserve(ToneTable::kSize);
        for (int i = 0; i < ToneTable::kSize; ++i) {
            const double linear = static_cast<double>(i) / (ToneTable::kSize - 1);
            table.drive_from_linear[channel].push_back(static_cast<float>(tone.drive_from_linear(linear)));
        }
    }
    return table;
}

void check_picture(const FieldPicture& picture) {
    ISOSEAM_CHECK(picture.bits == 8 || picture.bits == 10, fmt::format("bits = {}", picture.bits));
    const int full = (1 << picture.bits) - 1;
    for (const RegionLight* light : {&picture.first, &picture.second, &picture.surround, &picture.fixation}) {
        for (std::size_t channel = 0; channel < 3; ++channel) {
            ISOSEAM_CHECK(light->linear[channel] >= 0.0 && light->linear[channel] <= 1.0,
                          fmt::format("linear = {}", light->linear[channel]));
            ISOSEAM_CHECK(light->code[channel] <= full, fmt::format("code = {}", light->code[channel]));
        }
    }
    for (const ToneTable* tone : {picture.tone_first, picture.tone_second, picture.tone_surround}) {
        ISOSEAM_CHECK(tone != nullptr);
        for (const std::vector<float>& channel : tone->drive_from_linear)
            ISOSEAM_CHECK(channel.size() == ToneTable::kSize);
    }
}

RegionLight region_light(const LinearDrive& linear, const DisplayModel& display, int bits) {
    ISOSEAM_CHECK(display.primary_count() == 3, fmt::format("{} primaries", display.primary_count()));
    const DriveCode code = code_from_linear(linear, display, bits);
    RegionLight light;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        light.linear[channel] = linear.fractions[static_cast<Eigen::Index>(channel)];
        light.code[channel] = code.values[channel];
    }
    return light;
}

CodeImage draw_reference(const FieldPicture& picture) {
    check_picture(picture);
    const ViewingGeometry& viewing = picture.layout.viewing();
    CodeImage image{viewing.width_px, viewing.height_px, picture.bits, {}};
    image.codes.reserve(static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height) * 3);
    for (int row = 0; row < image.height; ++row) {
        for (int column = 0; column < image.width; ++column) {
            const auto codes = codes_of_pixel(picture, column, row);
            image.codes.insert(image.codes.end(), codes.begin(), codes.end());
        }
    }
    return image;
}

}  // namespace isoseam
