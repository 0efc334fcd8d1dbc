#include "runner/commands/observer_options.h"

#include <fmt/format.h>

#include <iterator>
#include <map>

#include "base/errors.h"
#include "colorimetry/population.h"
#include "runner/commands/command_words.h"

namespace isoseam {
namespace {

constexpr const char* kDeviationOptions[] = {"--lens",      "--macular",   "--density-l", "--density-m",
                                             "--density-s", "--shift-l",   "--shift-m",   "--shift-s",
                                             "--type",      "--pigment-l", "--pigment-m", "--age"};

const std::map<std::string, Pigment>& pigments_by_word() {
    static const std::map<std::string, Pigment> words{{"l", Pigment::l},
                                                      {"m", Pigment::m},
                                                      {"l-serine-180", Pigment::l_serine_180},
                                                      {"l-alanine-180", Pigment::l_alanine_180}};
    return words;
}

std::string type_words() {
    std::string words;
    for (const EyeType type : kEyeTypes)
        words += (words.empty() ? "" : ", ") + word_of(type);
    return words;
}

}  // namespace

void ObserverOptions::add_to(Command* command) {
    command_ = command;
    command->add_option("--field", field_deg_, "field size in degrees, 1 to 10 (2)");
    command->add_option("--age", age_years_, "age in years, 20 to 80 (32)");
    command->add_option("--type", type_, "type of eye: " + type_words());
    command->add_option("--lens", deviations_.lens_percent, "change of the lens density in percent");
    command->add_option("--macular", deviations_.macular_percent, "change of the macular density in percent");
    command->add_option("--density-l", deviations_.density_l_percent,
                        "change of the L pigment's density in percent");
    command->add_option("--density-m", deviations_.density_m_percent,
                        "change of the M pigment's density in percent");
    command->add_option("--density-s", deviations_.density_s_percent,
                        "change of the S pigment's density in percent");
    command->add_option("--shift-l", deviations_.shift_l_nm, "shift of the pigment in the L cones in nm");
    command->add_option("--shift-m", deviations_.shift_m_nm, "shift of the pigment in the M cones in nm");
    command->add_option("--shift-s", deviations_.shift_s_nm, "shift of the S pigment in nm");
    command->add_option("--protanomalous-shift", pigments_.from_m_nm,
                        "nm from the M pigment to the one in the L cones of a protanomalous eye (4)");
    command->add_option("--deuteranomalous-shift", pigments_.from_l_nm,
                        "nm from the L pigment to the one in the M cones of a deuteranomalous eye (-4)");
    command->add_option("--pigment-l", pigment_l_,
                        "pigment in the L cones: l, m, or with formulae l-serine-180, l-alanine-180");
    command->add_option("--pigment-m", pigment_m_, "pigment in the M cones, the same");
    command
        ->add_option("--curves", curves_,
                     "tables of CIE 170-1:2006, 390 to 830 nm, or the formulae of Stockman & Rider 2023, 360 "
                     "to 850 nm")
        ->check(one_of({"tables", "formulae"}));
    command->add_option("--categorical", categorical_,
                        "one of ten typical eyes, 1 to 10, each with its own age (Asano 2015)");
}

ObserverParameters ObserverOptions::parameters() const {
    const auto given = [this](const char* option) {
        return command_ != nullptr && command_->count(option) > 0;
    };
    const Degrees field = Degrees::from_degrees(field_deg_);
    ObserverParameters parameters = deviations_;
    parameters.age = Years::from_years(age_years_);
    if (given("--categorical")) {
        for (const char* option : kDeviationOptions) {
            if (given(option))
                throw InputError(
                    Fault{"", 0, 0, "--categorical", fmt::format("given together with {}", option),
                          "leave one of the two out: a categorical observer has all parameters of its own"});
        }
        parameters = categorical_observer(categorical_, field);
    }
    parameters.field = field;
    parameters.curves = curves_ == "formulae" ? CurveSource::formulae : CurveSource::tables;
    for (const auto& [option, word, pigment] :
         {std::tuple{"--pigment-l", &pigment_l_, &parameters.l_pigment},
          std::tuple{"--pigment-m", &pigment_m_, &parameters.m_pigment}}) {
        if (word->empty())
            continue;
        const auto found = pigments_by_word().find(*word);
        if (found == pigments_by_word().end())
            throw InputError(Fault{"", 0, 0, option, fmt::format("there is no pigment '{}'", *word),
                                   "write l, m, l-serine-180 or l-alanine-180"});
        if (!type_.empty())
            throw InputError(Fault{"", 0, 0, option, "given together with --type",
                                   "leave one of the two out: a type says which pigments there are"});
        *pigment = found->second;
    }
    if (type_.empty())
        return parameters;
    const EyeType type = eye_type_named(type_);
    for (const auto& [anomalous, shift, instead] :
         {std::tuple{EyeType::protanomalous, "--shift-l", "--protanomalous-shift"},
          std::tuple{EyeType::deuteranomalous, "--shift-m", "--deuteranomalous-shift"}}) {
        if (type == anomalous && given(shift))
            throw InputError(Fault{"", 0, 0, shift, fmt::format("given together with --type {}", type_),
                                   fmt::format("that cone has another pigment; shift it with {}", instead)});
    }
    return as_type(parameters, type, pigments_);
}

}  // namespace isoseam
