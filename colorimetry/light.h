#pragma once
// Lights in the protocol's own words. One grammar serves protocol files, the command line and messages:
//
//   monochromatic 589 nm at 20 cd/m2          a spectral line
//   xyY 0.31 0.33 at 20 cd/m2                 CIE 1931 chromaticity and luminance
//   contrast L 5 % M 0 % S 0 % from grey      cone contrast from another light (cones left out stay at 0 %)
//   pooled-cardinal luminance 1 % L-M 2 % S 10 % from grey
//                                             contrast along three axes, on each of which 100 % is a cone
//                                             contrast of length 1 (pooled_cardinal_contrast.h; axes left
//                                             out stay at 0 %)
//   spectrum lamp.csv                         a file, as measured, or scaled: spectrum lamp.csv at 20 cd/m2
//   blackbody 2856 K at 20 cd/m2
//   daylight 6500 K at 20 cd/m2               CIE 015, correlated colour temperature 4000 to 25000 K
//   illuminant D65 at 20 cd/m2                A, D50, D55, D65, D75 or E
//   equal-energy at 20 cd/m2
//   lms 0.0927 0.0811 0.0418                  cone excitations themselves, W/(sr m2)
//   mixture 0.6 grey + 0.4 (monochromatic 589 nm at 20 cd/m2)
//                                             sum of lights times factors (numbers or %)
//   black                                     no light added
//   grey                                      a light that the protocol defines by this name
//
//     const Light light = resolve(parse_light("illuminant D65 at 20 cd/m2"), observer, {});
//
// "at" takes cd/m2 (CIE 1931) or W/(sr m2). A name is a letter, then letters, digits, '_' and '-'.

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "colorimetry/colour_types.h"
#include "colorimetry/observer.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

// A light as it was asked for. It is immutable, and only parse_light makes it.
class LightSpec {
  public:
    struct Node;  // defined in light.cpp
    explicit LightSpec(std::shared_ptr<const Node> node) : node_(std::move(node)) {}
    const Node& node() const { return *node_; }
    std::string text() const;                     // in the grammar above, normalised
    std::vector<std::string> names_used() const;  // lights that it refers to
    std::vector<std::string> files_used() const;

  private:
    std::shared_ptr<const Node> node_;
};

// Throws InputError with the column in `text`, what was found and what would do.
LightSpec parse_light(std::string_view text);

// True if `name` may be used for a light: it has the form above and is no word of the grammar.
bool is_light_name(std::string_view name);

// A light as an observer catches it.
struct Light {
    Lms lms;
    Spectrum spectrum;
    // The light was given by three numbers and no screen was named to realise it: `spectrum` is the one
    // nearest to equal energy (xyY, lms) or to the background's (contrast), and `lms` of an xyY light follows
    // from it.
    bool spectrum_is_assumed = false;
};

// What a specification needs from outside. A function that the specification does not need may be empty;
// where it needs one that is empty, resolve() throws InputError.
struct LightContext {
    // Looks a name up; nullptr if unknown. Cycles are detected and reported by resolve().
    std::function<const LightSpec*(const std::string& name)> find_light;
    std::function<std::vector<std::string>()> known_names;  // for messages
    std::function<Spectrum(const std::string& path)> read_spectrum;
    // The spectrum with which a screen realises a tristimulus value or excitations (signed where out of
    // gamut).
    std::function<Spectrum(const Xyz&)> realise_xyz;
    std::function<Spectrum(const Lms&)> realise_lms;
};

Light resolve(const LightSpec& spec, const Observer& observer, const LightContext& context);

}  // namespace isoseam
