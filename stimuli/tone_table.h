#pragma once
// The light of every code of a screen, and between which two codes a light lies. All computations use whole
// numbers, so that the CPU and the graphics card find exactly the same level.

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "base/errors.h"
#include "calibration/display_model.h"

namespace isoseam {

// Linear light in units of 2^-47 of the primary's full light: fine enough for the darkest codes of any tone
// response of practice (the first of 10 bits with exponent 2.35 emits 12 million of them).
inline constexpr std::uint64_t kFullLightUnits = std::uint64_t{1} << 47U;
std::uint64_t light_units(double linear);  // argument in [0, 1], checked

// The lights of one source with three primaries, for frame buffers of 8 and of 10 bits.
struct ToneTable {
    // Lights in 65535ths of a unit (the sum of light times share, see field_mask.h), strictly rising from 0.
    // Codes whose lights are less than one 65535th apart are spread by it.
    using LightOfCode = std::vector<std::uint64_t>;
    std::array<LightOfCode, 3> light_of_code_8;
    std::array<LightOfCode, 3> light_of_code_10;

    const std::array<LightOfCode, 3>& light_of_code(int bits) const {
        ISOSEAM_CHECK(bits == 8 || bits == 10, "bits = " + std::to_string(bits));
        return bits == 8 ? light_of_code_8 : light_of_code_10;
    }
};
ToneTable tone_table(const DisplayModel& display);  // three primaries, checked

// A light between the lights of `code` and of `code` + 1. `share` is how far up it lies in linear light, in
// 65536ths and rounded down. A light above that of the last code but one is a share, up to the whole, of the
// way to the last.
struct ToneLevel {
    std::uint32_t code = 0;
    std::uint32_t share = 0;  // 0 .. kWholeShare
    friend bool operator==(const ToneLevel&, const ToneLevel&) = default;
};
inline constexpr std::uint32_t kWholeShare = 65536;
// `light` in 65535ths of a unit, not above full light.
ToneLevel level_of(const ToneTable::LightOfCode& light_of_code, std::uint64_t light);

}  // namespace isoseam
