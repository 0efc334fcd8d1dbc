#include "stimuli/gl/field_shader.h"

#include "stimuli/blue_noise.h"
#include "stimuli/field.h"
#include "stimuli/field_mask.h"
#include "stimuli/tone_table.h"

namespace isoseam {

static_assert(kRegionCount == 8 && static_cast<int>(FieldRegion::surround) == 6);
static_assert(FieldMask::kFull == 65535 && kWholeShare == 65536 && kBlueNoiseSize == 64);

// Line by line what field_mask.h, tone_table.cpp, dither.cpp and picture.cpp do. All in whole numbers, which
// every driver must compute alike; there is no floating point before the last line.
const char* const kFieldShader = R"(#version 330 core
uniform ivec2 box_corner;        // the part of the screen that is not surround alone
uniform ivec2 box_size;
uniform int height_px;
uniform usamplerBuffer cells;    // of each pixel of the box: its region, or 8 + the place of its shares
uniform usamplerBuffer edges;    // shares of eight regions in 65535ths
uniform usamplerBuffer lights;   // of each code, as high and low word: three channels of three tables
uniform usamplerBuffer ranks;    // of the tile of blue noise
uniform uvec3 level_code[8];     // of each region's own pixels
uniform uvec3 level_share[8];
uniform uvec3 light_high[8];     // of each region, 16 bits each
uniform uvec3 light_middle[8];
uniform uvec3 light_low[8];
uniform int table_of[8];
uniform uint full_code;
uniform int share_digits;        // 16; with a number known to them drivers would write the loop out, and take
                                 // seconds to compile it
uniform bool puts_out_levels;    // code + share, to be compared before dither (into a frame buffer of floats)
uniform int dither;              // 0 none, 1 noise, 2 ordered
uniform uvec2 dither_seed;       // block, pixel
uniform uvec3 dither_channel[2];
uniform uvec3 dither_shift_x;
uniform uvec3 dither_shift_y;
out vec4 colour;

const uint kSurround = 6u;

// 64-bit numbers as high and low word.
bool is_below(uvec2 a, uvec2 b) { return a.x < b.x || (a.x == b.x && a.y < b.y); }
uvec2 difference(uvec2 a, uvec2 b) { return uvec2(a.x - b.x - (a.y < b.y ? 1u : 0u), a.y - b.y); }
uvec2 doubled(uvec2 a) { return uvec2(a.x << 1 | a.y >> 31, a.y << 1); }

// Code and share of a light.
uvec2 level_of(int first_light, uvec2 light) {
    uint code = 0u;
    uint above = full_code;
    while (above - code > 1u) {
        uint middle = (code + above) / 2u;
        if (is_below(light, texelFetch(lights, first_light + int(middle)).rg))
            above = middle;
        else
            code = middle;
    }
    uvec2 lower = texelFetch(lights, first_light + int(code)).rg;
    uvec2 step = difference(texelFetch(lights, first_light + int(code) + 1).rg, lower);
    uvec2 rest = difference(light, lower);
    if (!is_below(rest, step))
        return uvec2(code, 65536u);
    uint share = 0u;
    for (int digit = 0; digit < share_digits; ++digit) {
        rest = doubled(rest);
        share <<= 1;
        if (!is_below(rest, step)) {
            rest = difference(rest, step);
            share |= 1u;
        }
    }
    return uvec2(code, share);
}

void edge_levels(int edge, out uvec3 code, out uvec3 share) {
    uint largest = 0u;
    int table = 0;
    uvec3 high = uvec3(0u);
    uvec3 middle = uvec3(0u);
    uvec3 low = uvec3(0u);
    for (int k = 0; k < 8; ++k) {
        uint part = texelFetch(edges, 8 * edge + k).r;
        if (part > largest) {
            largest = part;
            table = table_of[k];
        }
        high += part * light_high[k];
        middle += part * light_middle[k];
        low += part * light_low[k];
    }
    uvec3 low_word = low + (middle << 16);
    uvec3 high_word = high + (middle >> 16) + uvec3(lessThan(low_word, low));
    for (int channel = 0; channel < 3; ++channel) {
        int first_light = (table * 3 + channel) * (int(full_code) + 1);
        uvec2 level = level_of(first_light, uvec2(high_word[channel], low_word[channel]));
        code[channel] = level.x;
        share[channel] = level.y;
    }
}

uvec3 mixed(uvec3 bits) {
    bits ^= bits >> 16;
    bits *= 0x85EBCA6Bu;
    bits ^= bits >> 13;
    bits *= 0xC2B2AE35u;
    return bits ^ (bits >> 16);
}
uint mixed(uint bits) { return mixed(uvec3(bits)).x; }

uvec3 noise_thresholds(uvec2 pixel) {
    uvec2 at = pixel + uvec2(dither_shift_x.x, dither_shift_y.x);
    uint block = mixed((at.y >> 3 << 16 | at.x >> 3) ^ dither_seed.x);
    if ((block & 1u) != 0u)
        at = at.yx;
    uint place = (at.x & 4u) << 3 | (at.y & 4u) << 2 | (at.x & 2u) << 2 | (at.y & 2u) << 1 | (at.x & 1u) << 1 | (at.y & 1u);
    uvec3 first_word = mixed(uvec3(block) ^ dither_channel[0]);
    uvec3 second_word = mixed(uvec3(block) ^ dither_channel[1]);
    uvec3 stratum = uvec3(0u);
    for (uint level = 0u; level < 5u; ++level)
        stratum |= ((place >> (5u - level) ^ first_word >> (1u << level | place >> (6u - level))) & 1u) << level;
    stratum |= ((place ^ second_word >> (place >> 1)) & 1u) << 5;
    uint jitter = mixed((pixel.y << 16 | pixel.x) ^ dither_seed.y);
    return stratum << 10 | (uvec3(jitter, jitter >> 10, jitter >> 20) & 1023u);
}

uint rank(uint x, uint y) { return texelFetch(ranks, int((y & 63u) << 6 | (x & 63u))).r; }

uvec3 thresholds(uvec2 pixel) {
    if (dither == 0)
        return uvec3(32767u);
    if (dither == 1)
        return noise_thresholds(pixel);
    uvec3 x = pixel.x + dither_shift_x;
    uvec3 y = pixel.y + dither_shift_y;
    return uvec3(rank(x.r, y.r), rank(x.g, y.g), rank(x.b, y.b)) * 16u + 8u;
}

void main() {
    ivec2 pixel = ivec2(int(gl_FragCoord.x), height_px - 1 - int(gl_FragCoord.y));
    ivec2 in_box = pixel - box_corner;
    uint cell = kSurround;
    if (all(greaterThanEqual(in_box, ivec2(0))) && all(lessThan(in_box, box_size)))
        cell = texelFetch(cells, in_box.y * box_size.x + in_box.x).r;
    uvec3 code;
    uvec3 share;
    if (cell < 8u) {
        code = level_code[cell];
        share = level_share[cell];
    } else {
        edge_levels(int(cell) - 8, code, share);
    }
    if (puts_out_levels) {
        colour = vec4(vec3(code) + vec3(share) / 65536.0, 1.0);
        return;
    }
    if (share != uvec3(0u))
        code += uvec3(greaterThan(share, thresholds(uvec2(pixel))));
    colour = vec4(vec3(code) / float(full_code), 1.0);
}
)";

}  // namespace isoseam
