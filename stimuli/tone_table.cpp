#include "stimuli/tone_table.h"

#include <algorithm>
#include <cmath>

#include "base/errors.h"
#include "stimuli/field_mask.h"

namespace isoseam {

namespace {

ToneTable::LightOfCode light_of_code(const ToneResponse& tone, int bits) {
    const int full = (1 << bits) - 1;
    ToneTable::LightOfCode lights{0};
    for (int code = 1; code <= full; ++code) {
        const double linear = tone.linear_from_drive(static_cast<double>(code) / full);
        lights.push_back(std::max(light_units(linear) * FieldMask::kFull, lights.back() + 1));
    }
    return lights;
}

}  // namespace

std::uint64_t light_units(double linear) {
    ISOSEAM_CHECK_BETWEEN(linear, 0.0, 1.0);
    return static_cast<std::uint64_t>(std::llround(linear * static_cast<double>(kFullLightUnits)));
}

ToneTable tone_table(const DisplayModel& display) {
    ISOSEAM_CHECK_EQ(display.primary_count(), 3);
    ToneTable table;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const ToneResponse& tone = display.tone(static_cast<int>(channel));
        table.light_of_code_8[channel] = light_of_code(tone, 8);
        table.light_of_code_10[channel] = light_of_code(tone, 10);
    }
    return table;
}

// The shader does the same, with pairs of 32-bit numbers.
ToneLevel level_of(const ToneTable::LightOfCode& light_of_code, std::uint64_t light) {
    const auto above = std::upper_bound(light_of_code.begin(), light_of_code.end() - 1, light);
    const std::uint64_t lower = *(above - 1);
    const std::uint64_t step = *above - lower;
    ToneLevel level;
    level.code = static_cast<std::uint32_t>(above - light_of_code.begin()) - 1;
    std::uint64_t rest = light - lower;
    if (rest >= step) {
        level.share = kWholeShare;
        return level;
    }
    for (int digit = 0; digit < 16; ++digit) {
        rest <<= 1U;
        level.share <<= 1U;
        if (rest >= step) {
            rest -= step;
            level.share |= 1U;
        }
    }
    return level;
}

}  // namespace isoseam
