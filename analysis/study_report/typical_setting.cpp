#include "analysis/study_report/typical_setting.h"

#include <map>

#include "base/errors.h"

namespace isoseam {
namespace {

struct Candidate {
    const SessionFolder* folder = nullptr;
    const SettingRecord* setting = nullptr;
};
using Candidates = std::vector<Candidate>;
using ByCondition = std::map<std::string, std::map<std::string, Candidates>>;  // then by participant

Eigen::Vector3d contrast_of(const SettingRecord& setting) {
    return Eigen::Vector3d(setting.contrast_from_predicted.data());
}

const Candidate& nearest_to_mean(const Candidates& settings) {
    Eigen::Vector3d mean = Eigen::Vector3d::Zero();
    for (const Candidate& one : settings)
        mean += contrast_of(*one.setting) / static_cast<double>(settings.size());
    const Candidate* nearest = &settings.front();
    for (const Candidate& one : settings) {
        if ((contrast_of(*one.setting) - mean).norm() < (contrast_of(*nearest->setting) - mean).norm())
            nearest = &one;
    }
    return *nearest;
}

TypicalSetting described(const SeriesKey& series, const Candidates& settings, KnownScreens& screens) {
    const Candidate& chosen = nearest_to_mean(settings);
    const SessionHeader& header = chosen.folder->header;
    TypicalSetting typical{series,
                           header.participant,
                           chosen.setting->condition,
                           header.session,
                           chosen.setting->trial,
                           settings.size(),
                           chosen.setting->adjusted,
                           chosen.setting->reference};
    try {
        const ShownLights lights(header, screens);
        typical.adjusted_light = lights.spectrum(typical.adjusted);
        typical.reference_light = lights.spectrum(typical.reference);
        for (const HalfRecord* half : {&typical.adjusted, &typical.reference})
            typical.scale_known &= lights.display(*half).calibration().scale_known;
    } catch (const InputError&) {  // told where calibrations are listed
        typical.adjusted_light.reset();
        typical.reference_light.reset();
    }
    return typical;
}

}  // namespace

std::vector<TypicalSetting> typical_settings(const std::vector<const SessionFolder*>& folders,
                                             KnownScreens& screens) {
    std::map<SeriesKey, ByCondition> gathered;
    for (const SessionFolder* folder : folders) {
        for (const SettingRecord& setting : folder->settings)
            gathered[series_key(folder->header)][setting.condition][folder->header.participant].push_back(
                {folder, &setting});
    }
    std::vector<TypicalSetting> typical;
    for (const auto& [series, conditions] : gathered) {
        const std::map<std::string, Candidates>* most = nullptr;
        std::size_t most_settings = 0;
        for (const auto& [condition, by_participant] : conditions) {
            std::size_t count = 0;
            for (const auto& [participant, settings] : by_participant)
                count += settings.size();
            if (count > most_settings) {
                most = &by_participant;
                most_settings = count;
            }
        }
        typical.push_back(described(series, most->begin()->second, screens));
    }
    return typical;
}

}  // namespace isoseam
