#include "colorimetry/light.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <limits>
#include <map>
#include <utility>

#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/light_node.h"
#include "colorimetry/pooled_cardinal_contrast.h"

namespace isoseam {
namespace {

constexpr std::size_t kLongestChain = 32;  // names that are defined by names that are defined by names ...

[[noreturn]] void refuse(int column, std::string found, std::string remedy) {
    throw InputError(Fault{"", 0, column, "", std::move(found), std::move(remedy)});
}

// Turns a specification into a light; remembers names, so that each is worked out once and a circle is found.
class Resolver {
  public:
    Resolver(const Observer& observer, const LightContext& context)
        : observer_(observer), context_(context) {}

    Light resolved(const LightSpec::Node& node) {
        return std::visit([this](const auto& light) { return of(light); }, node.light);
    }

  private:
    Light of(const MonochromaticLight& light) const {
        if (!(light.nm >= observer_.first_nm() && light.nm <= observer_.last_nm())) {
            refuse(
                0,
                fmt::format("a monochromatic light of {} nm, where nothing is known of this eye", light.nm),
                observer_.first_nm() == Observer::kFirstNm
                    ? "give 390 to 830 nm, or take an eye from formulae (360 to 850 nm)"
                    : fmt::format("give {} to {} nm", observer_.first_nm(), observer_.last_nm()));
        }
        return of_spectrum(of_amount(Spectrum::from_line(light.nm, 1.0), light.amount, "this wavelength"));
    }

    Light of(const ChromaticityLight& light) const {
        const Xyz xyz = xyz_from_xyy(light.xyy);
        if (context_.realise_xyz) {
            return of_spectrum(context_.realise_xyz(xyz));
        }
        Light result = of_spectrum(nearest_spectrum(equal_energy_of_luminance(xyz.y), xyz));
        result.spectrum_is_assumed = true;
        return result;
    }

    Light of(const ContrastLight& light) {
        const Light background = resolved(*light.background);
        const Lms lms =
            lms_from_cone_contrast(ConeContrast::from_vector(light.percent / 100.0), background.lms);
        return of_excitations(lms, background.spectrum);
    }

    Light of(const PooledCardinalLight& light) {
        const Light background = resolved(*light.background);
        const ConeContrast contrast = cone_contrast_from_pooled_cardinal(
            PooledCardinalContrast::from_vector(light.percent / 100.0), background.lms, observer_);
        if (!(contrast.vector().minCoeff() >= -1.0)) {
            refuse(light.column,
                   fmt::format("together these contrasts change L by {:.4g} %, M by {:.4g} %, S by {:.4g} %",
                               100.0 * contrast.l, 100.0 * contrast.m, 100.0 * contrast.s),
                   "give contrasts that leave each cone -100 % or more (at -100 % nothing is left)");
        }
        return of_excitations(lms_from_cone_contrast(contrast, background.lms), background.spectrum);
    }

    Light of(const FileLight& light) const {
        if (!context_.read_spectrum) {
            refuse(0, fmt::format("the spectrum file '{}' cannot be read here", light.path),
                   "use a light that needs no file");
        }
        const Spectrum spectrum = context_.read_spectrum(light.path);
        return of_spectrum(light.amount ? of_amount(spectrum, *light.amount, light.path) : spectrum);
    }

    Light of(const BlackbodyLight& light) const {
        return of_spectrum(
            of_amount(Spectrum::blackbody(light.temperature_k), light.amount, "this blackbody"));
    }

    Light of(const DaylightLight& light) const {
        return of_spectrum(of_amount(daylight_spectrum(light.temperature_k), light.amount, "this daylight"));
    }

    Light of(const IlluminantLight& light) const {
        return of_spectrum(of_amount(spectrum_of(light.illuminant), light.amount, "this illuminant"));
    }

    Light of(const EqualEnergyLight& light) const {
        return of_spectrum(of_amount(Spectrum::equal_energy(), light.amount, "equal energy"));
    }

    Light of(const ExcitationLight& light) const {
        return of_excitations(light.lms,
                              equal_energy_of_luminance(isoseam::luminance_cd_m2(light.lms, observer_)));
    }

    Light of(const MixtureLight& light) {
        Light sum;
        for (const MixtureLight::Term& term : light.terms) {
            const Light part = resolved(*term.light);
            sum.lms = Lms::from_vector(sum.lms.vector() + term.factor * part.lms.vector());
            sum.spectrum = sum.spectrum + part.spectrum.scaled(term.factor);
            sum.spectrum_is_assumed = sum.spectrum_is_assumed || part.spectrum_is_assumed;
        }
        return sum;
    }

    Light of(const BlackLight& /*light*/) const { return {}; }

    Light of(const NamedLight& light) {
        if (const auto known = known_.find(light.name); known != known_.end()) {
            return known->second;
        }
        if (std::find(open_.begin(), open_.end(), light.name) != open_.end()) {
            refuse(light.column,
                   fmt::format("the light '{}' is defined by itself: {} -> {}", light.name,
                               fmt::join(open_, " -> "), light.name),
                   "define one of them without the others");
        }
        if (open_.size() >= kLongestChain) {
            refuse(light.column,
                   fmt::format("'{}' ends a chain of more than {} names", light.name, kLongestChain),
                   "define lights by fewer steps");
        }
        const LightSpec* const spec = context_.find_light ? context_.find_light(light.name) : nullptr;
        if (spec == nullptr) {
            refuse(light.column, fmt::format("unknown light '{}'", light.name),
                   remedy_for_unknown(light.name));
        }
        open_.push_back(light.name);
        Light result = resolved(spec->node());
        open_.pop_back();
        return known_.emplace(light.name, std::move(result)).first->second;
    }

    std::string remedy_for_unknown(const std::string& name) const {
        const std::vector<std::string> names =
            context_.known_names ? context_.known_names() : std::vector<std::string>{};
        if (names.empty()) {
            return "no light has a name here: write the light itself, such as: equal-energy at 20 cd/m2";
        }
        const std::string near_name = nearest_word(name, names);
        return near_name.empty() ? fmt::format("write one of: {}", fmt::join(names, ", "))
                                 : fmt::format("did you mean {}?", near_name);
    }

    Light of_spectrum(Spectrum spectrum) const {
        const Lms lms = observer_.excitations(spectrum);
        return {.lms = lms, .spectrum = std::move(spectrum), .spectrum_is_assumed = false};
    }

    Light of_excitations(const Lms& lms, const Spectrum& base) const {
        if (context_.realise_lms) {
            return {.lms = lms, .spectrum = context_.realise_lms(lms), .spectrum_is_assumed = false};
        }
        return {.lms = lms, .spectrum = nearest_spectrum(base, lms, observer_), .spectrum_is_assumed = true};
    }

    static Spectrum equal_energy_of_luminance(double luminance) {
        return Spectrum::equal_energy().scaled(luminance /
                                               isoseam::luminance_cd_m2(Spectrum::equal_energy()));
    }

    static Spectrum of_amount(const Spectrum& relative, const LightAmount& amount, const std::string& what) {
        const bool by_luminance = amount.unit == LightAmount::Unit::luminance_cd_m2;
        const double present =
            by_luminance ? isoseam::luminance_cd_m2(relative) : relative.integral_w_sr_m2();
        const double factor = amount.value / present;
        if (!(present > 0.0 && factor <= std::numeric_limits<double>::max())) {
            refuse(0, fmt::format("{} has no {} to scale", what, by_luminance ? "luminance" : "radiance"),
                   "choose a light that has some");
        }
        return relative.scaled(factor);
    }

    const Observer& observer_;
    const LightContext& context_;
    std::vector<std::string> open_;       // names on the way to the current light
    std::map<std::string, Light> known_;  // names that are worked out
};

}  // namespace

Light resolve(const LightSpec& spec, const Observer& observer, const LightContext& context) {
    return Resolver(observer, context).resolved(spec.node());
}

}  // namespace isoseam
