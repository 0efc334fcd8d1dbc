#include "calibration/measuring/measuring_json.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/errors.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

std::vector<double> list_of(const Drive& drive) {
    return {drive.fractions.begin(), drive.fractions.end()};
}

Drive drive_from(const Json& list) {
    const auto values = list.get<std::vector<double>>();
    return {Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size()))};
}

template <class Value>
Json or_null(const std::optional<Value>& value) {
    return value ? Json(*value) : Json(nullptr);
}

template <class Value>
std::optional<Value> optional_from(const Json& value) {
    return value.is_null() ? std::nullopt : std::optional(value.get<Value>());
}

}  // namespace

void to_json(Json& json, const PlanOptions& plan) {
    json = {{"kind", plan_kind_word(plan.kind)},
            {"primaries", plan.primaries},
            {"bits", plan.bits},
            {"patch", {plan.patch.x, plan.patch.y, plan.patch.width, plan.patch.height}},
            {"surround", list_of(plan.surround)},
            {"seed", plan.seed},
            {"repeats", or_null(plan.repeats)},
            {"places", or_null(plan.places)},
            {"patch_sizes", plan.patch_sizes},
            {"duration_s", plan.duration_s},
            {"settled_per_min", or_null(plan.settled_per_min)},
            {"longest_warm_up_s", or_null(plan.longest_warm_up_s)},
            {"warm_up", plan.warm_up}};
}

void from_json(const Json& json, PlanOptions& plan) {
    plan.kind = parse_plan_kind(json.at("kind").get<std::string>(), "kind");
    plan.primaries = json.at("primaries").get<std::vector<std::string>>();
    plan.bits = json.at("bits").get<int>();
    const auto& patch = json.at("patch");
    plan.patch = {patch.at(0).get<double>(), patch.at(1).get<double>(), patch.at(2).get<double>(),
                  patch.at(3).get<double>()};
    plan.surround = drive_from(json.at("surround"));
    plan.seed = json.at("seed").get<std::uint64_t>();
    plan.repeats = optional_from<int>(json.at("repeats"));
    plan.places = optional_from<int>(json.at("places"));
    plan.patch_sizes = json.at("patch_sizes").get<bool>();
    plan.duration_s = json.at("duration_s").get<double>();
    plan.settled_per_min = optional_from<double>(json.at("settled_per_min"));
    plan.longest_warm_up_s = optional_from<double>(json.at("longest_warm_up_s"));
    plan.warm_up = json.at("warm_up").get<bool>();
}

void to_json(Json& json, ReadingUnit unit) {
    json = unit_text(unit);
}

void from_json(const Json& json, ReadingUnit& unit) {
    unit = parse_reading_unit(json.get<std::string>(), "unit");
}

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ScreenShown, name, index, width_px, height_px, refresh_hz, bits,
                                   video_driver, full_screen)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(InstrumentRecord, kind, description, unit, not_for_data)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(MeasurementHeader, program_version, started_utc, plan, screen, instrument,
                                   instrument_options, warnings)

namespace {

struct EventWriter {
    bool with_wavelengths;

    Json operator()(const ReadingTaken& event) const {
        Json result{{"event", "reading"}, {"at_s", event.at_s}, {"step", event.step}};
        if (with_wavelengths)
            result["wavelengths_nm"] = event.spectrum.wavelengths_nm;
        result["values"] = event.spectrum.values;
        return result;
    }
    Json operator()(const StepLeftOut& event) const {
        return {{"event", "left_out"}, {"at_s", event.at_s}, {"step", event.step}, {"reason", event.reason}};
    }
    Json operator()(const MeasurementResumed& event) const {
        return {{"event", "resumed"}, {"at_s", event.at_s}};
    }
    Json operator()(const WentOnUnsettled& event) const {
        return {{"event", "went_on_unsettled"}, {"at_s", event.at_s}};
    }
    Json operator()(const Remark& event) const {
        return {{"event", "remark"}, {"at_s", event.at_s}, {"words", event.words}};
    }
};

}  // namespace

Json to_json(const MeasurementHeader& header) {
    Json json = header;
    json["event"] = "begun";
    json["measurement_version"] = kMeasurementVersion;
    return json;
}

Json to_json(const MeasuringEvent& event, bool with_wavelengths) {
    return std::visit(EventWriter{with_wavelengths}, event);
}

MeasurementHeader header_from_json(const Json& json) {
    return json.get<MeasurementHeader>();
}

MeasuringEvent event_from_json(const Json& json, const std::vector<double>& wavelengths_nm) {
    const auto kind = json.at("event").get<std::string>();
    const auto at_s = json.at("at_s").get<double>();
    if (kind == "reading") {
        const auto own = json.find("wavelengths_nm");
        InstrumentSpectrum spectrum{own != json.end() ? own->get<std::vector<double>>() : wavelengths_nm,
                                    json.at("values").get<std::vector<double>>()};
        return ReadingTaken{json.at("step").get<std::string>(), at_s, std::move(spectrum)};
    }
    if (kind == "left_out")
        return StepLeftOut{json.at("step").get<std::string>(), at_s, json.at("reason").get<std::string>()};
    if (kind == "resumed")
        return MeasurementResumed{at_s};
    if (kind == "went_on_unsettled")
        return WentOnUnsettled{at_s};
    if (kind == "remark")
        return Remark{at_s, json.at("words").get<std::string>()};
    throw InputError("event", fmt::format("unknown event '{}'", kind),
                     "read it with the version of isoseam that wrote it");
}

}  // namespace isoseam
