// isoseam observer: cone fundamentals of a standard or an individual observer.

#include <fmt/format.h>

#include <cmath>

#include "colorimetry/errors.h"
#include "runner/command_line.h"
#include "runner/observer_options.h"

namespace isoseam {
namespace {

struct Options {
    ObserverOptions observer;
    bool quantal = false;
    double from_nm = Observer::kFirstNm;
    double to_nm = Observer::kLastNm;
    double step_nm = 1.0;
    std::string format = "csv";
};

std::vector<double> wavelengths(const Options& options) {
    if (!(options.from_nm >= Observer::kFirstNm && options.to_nm <= Observer::kLastNm &&
          options.from_nm <= options.to_nm)) {
        throw InputError(
            Fault{"", 0, 0, "--from, --to",
                  fmt::format("{:g} to {:g} nm is not within the tables", options.from_nm, options.to_nm),
                  "stay within 390 to 830 nm, the range of CIE 170-1:2006"});
    }
    if (!(options.step_nm >= 0.01 && options.step_nm <= 440.0)) {
        throw InputError(Fault{"", 0, 0, "--step", fmt::format("a step of {:g} nm", options.step_nm),
                               "write a step from 0.01 to 440 nm"});
    }
    std::vector<double> grid;
    const auto count =
        static_cast<int>(std::floor((options.to_nm - options.from_nm) / options.step_nm + 1e-9));
    for (int i = 0; i <= count; ++i)
        grid.push_back(options.from_nm + i * options.step_nm);
    return grid;
}

// Quantal sensitivity is energy-based sensitivity over wavelength, scaled to peak 1: the scale follows from
// any sample.
Eigen::Vector3d quantal_at_nm(const Observer& observer, double nm) {
    constexpr int kRow = 60;  // 450 nm, where all three cones are sensitive
    const Eigen::Array3d scale = observer.quantal().row(kRow).transpose().array() *
                                 (Observer::kFirstNm + kRow) /
                                 observer.energy().row(kRow).transpose().array();
    return observer.energy_at_nm(nm).array() * scale / nm;
}

ExitStatus run(const Options& options, bool json) {
    const Observer observer(options.observer.parameters());
    const std::vector<double> grid = wavelengths(options);
    nlohmann::json l, m, s;
    if (!json)
        fmt::print("wavelength_nm,l,m,s\n");
    for (const double nm : grid) {
        const Eigen::Vector3d sensitivity =
            options.quantal ? quantal_at_nm(observer, nm) : observer.energy_at_nm(nm);
        if (json) {
            l.push_back(sensitivity[0]);
            m.push_back(sensitivity[1]);
            s.push_back(sensitivity[2]);
        } else {
            fmt::print("{},{},{},{}\n", nm, sensitivity[0], sensitivity[1], sensitivity[2]);
        }
    }
    if (json)
        print_json({{"observer", observer.description()},
                    {"units", options.quantal ? "quantal, peak 1" : "energy, peak 1"},
                    {"wavelength_nm", grid},
                    {"l", l},
                    {"m", m},
                    {"s", s}});
    return ExitStatus::done;
}

}  // namespace

void add_observer_command(CLI::App& app, CommandContext& context) {
    CLI::App* command =
        app.add_subcommand("observer", "cone fundamentals of a standard or an individual observer");
    auto options = std::make_shared<Options>();
    options->observer.add_to(command, true);
    command->add_flag("--quantal", options->quantal, "quantal units instead of energy");
    command->add_option("--from", options->from_nm, "first wavelength in nm (390)");
    command->add_option("--to", options->to_nm, "last wavelength in nm (830)");
    command->add_option("--step", options->step_nm, "step in nm (1)");
    command->add_option("--format", options->format, "csv")->check(CLI::IsMember({"csv"}));
    finish_command(command, context, [options, &context] { return run(*options, context.json); });
}

}  // namespace isoseam
