#pragma once
// Sessions made of drive values on invented screens, as a session would record them.

#include <string>
#include <utility>
#include <vector>

#include "colorimetry/colour_space.h"
#include "results_schema/session_folder.h"
#include "support/example_session.h"
#include "support/invented_display.h"

namespace isoseam::test {

inline Eigen::VectorXd to_vector(const std::vector<double>& values) {
    return Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size()));
}

// A rig: sources by name.
class ShownSession {
  public:
    ShownSession(std::vector<std::pair<std::string, Calibration>> sources, const Observer& nominal)
        : nominal_(nominal) {
        folder_.folder = "out/P01";
        folder_.state = SessionState::complete;
        folder_.header_ok = true;
        folder_.header = example_header();
        folder_.header.sources.clear();
        folder_.header.calibrations.clear();
        folder_.header.observer = {nominal.description(), nominal.parameters().field.degrees(),
                                   nominal.parameters().age.years()};
        for (auto& [name, calibration] : sources) {
            calibration.measured_with = "invented";  // a file must say
            const StoredText text = stored_text(name + ".yaml", calibration_text(calibration));
            folder_.header.calibrations[text.sha256] = text;
            folder_.header.sources.push_back({name, text.sha256, 0, 8});
            displays_.emplace_back(name, DisplayModel(calibration));
        }
    }

    const DisplayModel& display(const std::string& source) const {
        for (const auto& [name, shown_by] : displays_)
            if (name == source)
                return shown_by;
        throw std::runtime_error("no such source");
    }

    HalfRecord half(const std::string& half_name, const std::string& source,
                    const std::vector<double>& linear) const {
        const Lms lms = display(source).lms(LinearDrive{to_vector(linear)}, nominal_);
        return {half_name, source, linear, std::vector<int>(linear.size(), 0), 8, {lms.l, lms.m, lms.s}};
    }

    // A match of the reference half, which is what the nominal observer predicts.
    SettingRecord& add(const std::string& condition, const HalfRecord& adjusted,
                       const HalfRecord& reference) {
        SettingRecord setting = example_setting(static_cast<int>(folder_.settings.size()) + 1, condition);
        setting.frames.reset();
        setting.adjusted = adjusted;
        setting.reference = reference;
        setting.start_adjusted = adjusted;
        setting.predicted_lms = reference.lms;
        setting.target_lms = adjusted.lms;
        setting.axes = {"L", "M", "S"};
        setting.start = {0.1, 0.1, 0.1};
        set_contrast(setting);
        setting.setting = {setting.contrast_from_predicted.begin(), setting.contrast_from_predicted.end()};
        setting.refused_steps = {0, 0, 0};
        folder_.settings.push_back(setting);
        return folder_.settings.back();
    }

    // The adjusted light is a test light, whose radiance alone was adjusted; predicted at equal luminance.
    SettingRecord& add_null(const std::string& condition, const HalfRecord& adjusted,
                            const HalfRecord& reference) {
        SettingRecord& setting = add(condition, adjusted, reference);
        const auto luminance = [this](const HalfRecord& h) {
            return luminance_cd_m2(Lms{h.lms[0], h.lms[1], h.lms[2]}, nominal_);
        };
        const double factor = luminance(reference) / luminance(adjusted);
        for (std::size_t cone = 0; cone < 3; ++cone)
            setting.predicted_lms[cone] = factor * adjusted.lms[cone];
        set_contrast(setting);
        setting.axes = {"L+M+S"};
        setting.setting = {1.0 / factor - 1.0};
        setting.start = {0.3};
        setting.refused_steps = {0};
        setting.adjusted_half = "second";
        setting.reference_half = "first";
        return setting;
    }

    SessionFolder& folder() { return folder_; }

  private:
    static void set_contrast(SettingRecord& setting) {
        for (std::size_t cone = 0; cone < 3; ++cone)
            setting.contrast_from_predicted[cone] =
                setting.adjusted.lms[cone] / setting.predicted_lms[cone] - 1.0;
    }

    Observer nominal_;
    std::vector<std::pair<std::string, DisplayModel>> displays_;
    SessionFolder folder_;
};

}  // namespace isoseam::test
