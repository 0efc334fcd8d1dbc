#include "runner/commands/session/devices_command.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/json_values.h"

#include <fmt/format.h>

#include <cmath>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <utility>

namespace isoseam {
namespace {

// A smaller movement is the trembling of a knob that nobody touches.
constexpr double kMovement = 2.0 / 50.0;

nlohmann::json device_json(const InputDevice& device) {
    return {{"number", device.number},
            {"name", device.name},
            {"gamepad", device.is_gamepad},
            {"axes", device.axes},
            {"buttons", device.buttons}};
}

ExitStatus run(const double& seconds, bool json) {
    VideoSystem video;
    if (json) {
        print_json({{"devices", json_list(video.input_devices(), device_json)}});
        return ExitStatus::done;
    }
    print_devices(video, stdout);
    if (!video.input_devices().empty()) {
        fmt::print("Turn or push what you want to find; it is shown for {} seconds.\n", seconds);
        print_movements(video, seconds, stdout);
    }
    return ExitStatus::done;
}

}  // namespace

void print_devices(const VideoSystem& video, std::FILE* to) {
    const std::vector<InputDevice> devices = video.input_devices();
    if (devices.empty())
        fmt::print(to, "No game controller, knob or pedal is attached.\n");
    for (const InputDevice& device : devices) {
        fmt::print(to, "device {}: {}, {} axes, {} buttons{}\n", device.number, device.name, device.axes,
                   device.buttons, device.is_gamepad ? " (a gamepad whose buttons are known)" : "");
    }
}

void print_movements(VideoSystem& video, double seconds, std::FILE* to) {
    for (const InputDevice& device : video.input_devices())
        video.listen_to(device.number, std::nullopt);
    std::map<std::pair<int, int>, double> told;
    const double until_s = steady_seconds() + seconds;
    for (double left_s = seconds; left_s > 0.0; left_s = until_s - steady_seconds()) {
        const std::optional<InputEvent> event = video.next_event(left_s);
        if (!event || event->kind != InputEvent::Kind::knob)
            continue;
        const auto [place, is_first] = told.try_emplace({event->device, event->axis}, event->value);
        if (is_first || std::abs(event->value - place->second) < kMovement)
            continue;
        place->second = event->value;
        fmt::print(to, "device {}, axis {}: {:.2f}  (--knob {}:{})\n", event->device, event->axis,
                   event->value, event->device, event->axis);
        std::fflush(to);
    }
}

void add_devices_command(Command& session) {
    Command* command = session.add_subcommand(
        "devices", "attached controllers and knobs, and what moves when one is turned");
    const auto seconds = std::make_shared<double>(20.0);
    command->add_option("--seconds", *seconds, "how long movements are shown (20)")
        ->check(within(0.0, 3600.0));
    finish_command(command, seconds, run);
}

}  // namespace isoseam
