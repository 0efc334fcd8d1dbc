#include <fmt/format.h>

#include "protocols/language/reader_parts.h"
#include "stimuli/flicker_safeguards.h"

namespace isoseam {
namespace {

// No screen refreshes faster than this.
constexpr double kMostHz = 1000.0;

void read_limits(const YamlNode& node, const FieldGeometry& field, FlickerPlan& flicker) {
    const YamlNode largest =
        node.at("largest_field", "the largest field that you let flicker, such as 5 deg");
    if (const auto deg = read_positive(largest, Dimension::angle_deg)) {
        flicker.largest_field = Degrees::from_degrees(*deg);
        if (!(field.size <= flicker.largest_field)) {
            largest.fault(fmt::format("the field of {:.4g} deg is larger than that", field.size.degrees()),
                          "make the field smaller, or raise the limit if your ethics board agrees");
        }
    }
    const YamlNode longest = node.at("longest", "how long it may flicker at a stretch, such as 30 s");
    flicker.longest_s = read_positive(longest, Dimension::duration_s).value_or(0.0);
    if (longest.exists() && flicker.longest_s > 0.0 && !(flicker.longest_s > 2.0 * flicker.onset_s))
        longest.fault("the onset leaves no time for the flicker itself",
                      "make longest more than twice the onset");
}

void check_exchange(const YamlNode& exchange, const Protocol& protocol, const FlickerPlan& flicker) {
    const bool halves = protocol.field.parts == FieldParts::halves;
    if (flicker.exchange == Exchange::halves && !halves)
        exchange.fault("the field has no halves to exchange", "write 'exchange: lights'");
}

}  // namespace

void read_flicker(const YamlNode& node, ProtocolReading& reading) {
    if (!node.exists())
        return;
    Protocol& protocol = reading.protocol;
    node.only_keys({"wave", "exchange", "frequency", "onset", "largest_field", "longest", "exclusion"});
    FlickerPlan flicker;
    const auto form = node.at("wave", "square or sine").choice({"square", "sine"});
    flicker.form = form == 1 ? FlickerForm::sine : FlickerForm::square;
    const YamlNode exchange = node.at("exchange", "what takes turns: lights or halves");
    const auto exchanged = exchange.choice({"lights", "halves"});
    flicker.exchange = exchanged == 1 ? Exchange::halves : Exchange::lights;
    const YamlNode frequency = node.at("frequency", "periods per second, such as 15 Hz");
    flicker.frequency_hz = read_positive(frequency, Dimension::frequency_hz).value_or(0.0);
    if (flicker.frequency_hz > kMostHz)
        frequency.fault("no screen flickers as fast", "write a frequency below its refresh rate");
    flicker.line = frequency.line();
    flicker.column = frequency.column();
    const YamlNode onset = node.at("onset", "how long its depth rises from nothing, such as 0.5 s");
    flicker.onset_s = read_positive(onset, Dimension::duration_s).value_or(0.0);
    if (flicker.onset_s > 0.0 && !(flicker.onset_s >= kShortestSoftOnsetSeconds)) {
        onset.fault(fmt::format("an onset of {:g} s is not soft", flicker.onset_s),
                    fmt::format("let the depth rise over {:g} s or more", kShortestSoftOnsetSeconds));
    }
    read_limits(node, protocol.field, flicker);
    flicker.exclusion = reading.texts.words(node.at(
        "exclusion",
        "the question that is asked first, such as: Have you ever had a seizure, or been told to stay "
        "away from flashing lights?"));
    check_exchange(exchange, protocol, flicker);
    protocol.flicker = flicker;
}

}  // namespace isoseam
