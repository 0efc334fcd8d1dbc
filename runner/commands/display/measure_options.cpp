#include "runner/commands/display/measure_options.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <filesystem>
#include <tuple>

#include "base/errors.h"
#include "base/quantity.h"
#include "base/yaml_reader.h"
#include "calibration/calibration.h"
#include "calibration/formats/reading_files.h"
#include "calibration/instruments/command_instrument.h"
#include "calibration/instruments/file_instrument.h"
#include "calibration/instruments/serial_instrument.h"
#include "calibration/instruments/simulated_instrument.h"
#include "runner/commands/command_words.h"
#include "runner/commands/option_faults.h"
#include "runner/commands/screen_choice.h"

namespace isoseam {
namespace {

struct Option {
    const char* name;
    const char* about;
    const char* instrument = "";  // the only kind of instrument that it is for; "": any kind
};
constexpr Option kOptions[] = {
    {"plan", "quick, full (usual) or drift"},
    {"instrument", "command, serial, typed, file or simulated"},
    {"command", "command: the program to run once for each reading, with its words", "command"},
    {"unit", "command: unit of its values, 'W/(sr m2 nm)' (usual) or 'counts'", "command"},
    {"timeout", "command: longest time for one reading (120 s)", "command"},
    {"name", "command: which instrument it reads, for the record", "command"},
    {"port", "serial: the line, such as /dev/ttyUSB0", "serial"},
    {"dialect", "serial: file that says how the instrument is spoken to", "serial"},
    {"typical", "typed: calibration file of a screen with a similar panel", "typed"},
    {"readings", "file: table of readings made elsewhere", "file"},
    {"simulated", "simulated: additive (usual), interaction, dimming or drifting", "simulated"},
    {"screen", "number of the screen, from 0 (0)"},
    {"window", "show in a window of WIDTHxHEIGHT pixels instead of the full screen, to try out"},
    {"bits", "of the frame buffer, 8 (usual) or 10"},
    {"patch", "centre, width and height of the patch as fractions of the screen (0.5,0.5,0.32,0.32)"},
    {"surround", "drives of all else on the screen (0,0,0)"},
    {"seed", "of the order, the verification colours and simulated noise (1)"},
    {"repeats", "readings a step, where not the plan's own"},
    {"places", "of the uniformity check: 0, 5 or 9 (full plan: 5)"},
    {"sizes", "patches of several sizes: yes or no (full plan: yes)"},
    {"duration", "of the drift plan (60 min)"},
    {"warm-up", "watch white until it has settled: yes or no (yes)"},
    {"settled", "white has settled when it drifts by less than this a minute (0.1 %; quick: 0.3 %)"},
    {"longest-warm-up", "how long white is watched at most (60 min)"},
    {"pause", "time from a new patch to its reading (0.5 s)"},
};

InputError wrong(const std::string& name, std::string found, std::string remedy) {
    return InputError(Fault{"", 0, 0, "--" + name, std::move(found), std::move(remedy)});
}

// Runs `parse` on a word, and puts the option's name before what `parse` complains of.
template <class Parse>
auto parsed(const std::string& name, const std::string& word, Parse parse) -> decltype(parse(word)) {
    return reading_option("--" + name, [&] { return parse(word); });
}

std::vector<double> numbers_of(const std::string& name, const std::string& word) {
    std::vector<double> numbers;
    for (std::size_t begin = 0; begin <= word.size();) {
        const std::size_t end = std::min(word.find(',', begin), word.size());
        numbers.push_back(parsed(name, word.substr(begin, end - begin),
                                 [](const std::string& text) { return parse_number(text); }));
        begin = end + 1;
    }
    return numbers;
}

bool yes_or_no(const std::string& name, const std::string& word) {
    if (word != "yes" && word != "no")
        throw wrong(name, fmt::format("'{}'", word), "write yes or no");
    return word == "yes";
}

long whole_number(const std::string& name, const std::string& word) {
    const double number = numbers_of(name, word).at(0);
    if (!(number >= 0.0 && number <= 1e15 && number == static_cast<double>(static_cast<long>(number))))
        throw wrong(name, fmt::format("'{}' is not a whole number", word), "write a whole number from 0");
    return static_cast<long>(number);
}

double seconds_of(const std::string& name, const std::string& word) {
    return parsed(name, word,
                  [](const std::string& text) { return parse_quantity(text, Dimension::duration_s); });
}

// Returns the only kind of instrument that an option is for; "" means any kind.
std::string kind_for(const std::string& name) {
    for (const Option& option : kOptions) {
        if (name == option.name)
            return option.instrument;
    }
    return "";
}

// Whether the option names a file. Files must be found again from another folder.
bool names_a_file(const std::string& name) {
    return name == "dialect" || name == "typical" || name == "readings";
}

// Whether the option runs a program, opens a device, or says what is sent to it.
bool reaches_out(const std::string& name) {
    return name == "command" || name == "port" || name == "dialect";
}

}  // namespace

void MeasureWords::add_options_to(Command* command) {
    for (const Option& option : kOptions) {
        const std::string name = option.name;
        command->add_option_function(
            "--" + name,
            [this, name](const std::string& word) {
                words_[name] = names_a_file(name) ? std::filesystem::absolute(word).string() : word;
            },
            option.about);
    }
}

std::vector<MeasureWords::ForeignWord> MeasureWords::set_kept(
    const std::vector<std::pair<std::string, std::string>>& kept) {
    const std::map<std::string, std::string> kept_words(kept.begin(), kept.end());
    const auto kept_kind = kept_words.find("instrument");
    const bool other =
        has("instrument") && kept_kind != kept_words.end() && kept_kind->second != word("instrument");
    std::vector<ForeignWord> foreign;
    for (const auto& [name, kept_word] : kept_words) {
        // Words for the former instrument do not make another one.
        if (other && !kind_for(name).empty())
            continue;
        const bool given = has(name);
        words_.try_emplace(name, kept_word);
        if (reaches_out(name))
            foreign.push_back({name, kept_word, given ? std::optional(word(name)) : std::nullopt});
    }
    return foreign;
}

void MeasureWords::require_words_of(const std::string& kind) const {
    std::vector<Fault> faults;
    for (const auto& [name, word] : words_) {
        const std::string needed = kind_for(name);
        if (!needed.empty() && needed != kind) {
            faults.push_back({"", 0, 0, "--" + name,
                              fmt::format("is for --instrument {}, and this is {}", needed, kind),
                              "leave it out, or name the other instrument"});
        }
    }
    refuse(faults);
}

std::vector<std::pair<std::string, std::string>> MeasureWords::all() const {
    return {words_.begin(), words_.end()};
}

std::string MeasureWords::word(const std::string& name, const std::string& otherwise) const {
    const auto found = words_.find(name);
    return found == words_.end() ? otherwise : found->second;
}

PlanOptions MeasureWords::plan() const {
    PlanOptions plan;
    plan.kind = parse_plan_kind(word("plan", "full"), "--plan");
    plan.bits = static_cast<int>(whole_number("bits", word("bits", "8")));
    plan.seed = static_cast<std::uint64_t>(whole_number("seed", word("seed", "1")));
    if (has("patch")) {
        const std::vector<double> patch = numbers_of("patch", word("patch"));
        if (patch.size() != 4)
            throw wrong("patch", fmt::format("{} numbers", patch.size()),
                        "write centre, width and height: 0.5,0.5,0.3,0.3");
        plan.patch = {patch[0], patch[1], patch[2], patch[3]};
    }
    if (has("surround")) {
        const std::vector<double> surround = numbers_of("surround", word("surround"));
        plan.surround.fractions =
            Eigen::Map<const Eigen::VectorXd>(surround.data(), static_cast<Eigen::Index>(surround.size()));
    }
    if (has("repeats"))
        plan.repeats = static_cast<int>(whole_number("repeats", word("repeats")));
    if (has("places"))
        plan.places = static_cast<int>(whole_number("places", word("places")));
    plan.patch_sizes = yes_or_no("sizes", word("sizes", "yes"));
    plan.warm_up = yes_or_no("warm-up", word("warm-up", "yes"));
    if (has("duration"))
        plan.duration_s = seconds_of("duration", word("duration"));
    if (has("settled"))
        plan.settled_per_min = parsed("settled", word("settled"), [](const std::string& text) {
            return parse_quantity(text, Dimension::fraction);
        });
    if (has("longest-warm-up"))
        plan.longest_warm_up_s = seconds_of("longest-warm-up", word("longest-warm-up"));
    return plan;
}

PatchScreenOptions MeasureWords::screen(int bits) const {
    PatchScreenOptions screen;
    screen.screen = static_cast<int>(whole_number("screen", word("screen", "0")));
    screen.bits = bits;
    screen.full_screen = !has("window");
    if (has("window"))
        std::tie(screen.window_width_px, screen.window_height_px) = parse_window_size(word("window"));
    return screen;
}

double MeasureWords::settle_s() const {
    return has("pause") ? seconds_of("pause", word("pause")) : kUsualSettleSeconds;
}

std::unique_ptr<Instrument> MeasureWords::instrument(const TypedInstrument::Ask& ask) const {
    const auto needed = [&](const char* name, const char* what) {
        if (!has(name))
            throw wrong(name, "is missing", what);
        return word(name);
    };
    const std::string kind =
        needed("instrument", "write --instrument command, serial, typed, file or simulated");
    require_words_of(kind);
    if (kind == "command") {
        return std::make_unique<CommandInstrument>(CommandOptions{
            needed("command", "write the program that reads once, such as --command 'read_spectrum --once'"),
            parse_reading_unit(word("unit", "W/(sr m2 nm)"), "--unit"),
            seconds_of("timeout", word("timeout", "120 s")), word("name")});
    }
    if (kind == "serial") {
        const std::string port =
            needed("port", "write the line that the instrument is on, such as /dev/ttyUSB0");
        return std::make_unique<SerialInstrument>(SerialOptions{
            port,
            read_dialect(needed("dialect", "name the file that says how the instrument is spoken to"))});
    }
    if (kind == "typed") {
        const std::string typical =
            needed("typical", "name a calibration file of a screen with a similar panel");
        return std::make_unique<TypedInstrument>(read_calibration(typical), ask);
    }
    if (kind == "file") {
        const std::string file = needed("readings", "name the table of readings");
        return std::make_unique<FileInstrument>(read_readings(file), file);
    }
    if (kind == "simulated") {
        return std::make_unique<SimulatedInstrument>(
            simulated_screen(word("simulated", "additive"), "--simulated"),
            static_cast<std::uint64_t>(whole_number("seed", word("seed", "1"))));
    }
    throw wrong("instrument", fmt::format("there is no instrument '{}'", kind),
                "write one of: command, serial, typed, file, simulated");
}

}  // namespace isoseam
