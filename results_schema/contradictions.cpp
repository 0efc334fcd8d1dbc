#include "results_schema/contradictions.h"

#include <fmt/format.h>

#include "results_schema/sha256.h"

namespace isoseam {

std::string contradiction(const SessionHeader& header) {
    const auto changed = [](const StoredText& stored) { return sha256_hex(stored.text) != stored.sha256; };
    if (changed(header.protocol)) {
        return "the protocol's text does not hash to its sha256";
    }
    for (const auto& [sha256, calibration] : header.calibrations) {
        if (changed(calibration) || calibration.sha256 != sha256) {
            return fmt::format("the text of calibration {} does not hash to its sha256", calibration.file);
        }
    }
    for (const auto& [path, file] : header.files) {
        if (changed(file)) {
            return fmt::format("the text of {} does not hash to its sha256", path);
        }
    }
    for (const SourceRecord& source : header.sources) {
        if (!header.calibrations.contains(source.calibration)) {
            return fmt::format("the calibration of source {} is not in the file", source.name);
        }
    }
    return {};
}

namespace {

std::string contradiction(const HalfRecord& half) {
    if (half.linear.size() != half.code.size()) {
        return fmt::format("half {} has {} linear drives and {} codes", half.half, half.linear.size(),
                           half.code.size());
    }
    return {};
}

}  // namespace

std::string contradiction(const SettingRecord& setting) {
    const std::size_t axes = setting.axes.size();
    if (setting.start.size() != axes || setting.setting.size() != axes ||
        setting.path_length.size() != axes || setting.refused_steps.size() != axes) {
        return fmt::format(
            "start, setting, path_length and refused_steps must each have one entry for each of {} axes",
            axes);
    }
    for (const HalfRecord* half : {&setting.adjusted, &setting.reference, &setting.start_adjusted}) {
        const std::string wrong = contradiction(*half);
        if (!wrong.empty()) {
            return wrong;
        }
    }
    return {};
}

std::string contradiction(const AnswerRecord& answer) {
    if (answer.level.size() != answer.axes.size()) {
        return fmt::format("a level of {} numbers for {} axes", answer.level.size(), answer.axes.size());
    }
    const std::string wrong = contradiction(answer.shown);
    return wrong.empty() ? contradiction(answer.reference) : wrong;
}

}  // namespace isoseam
