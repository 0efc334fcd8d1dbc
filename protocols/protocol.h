#pragma once
// What is asked of the observer: a protocol file, read and checked. The language is described in README.md.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "calibration/display_model.h"
#include "colorimetry/errors.h"
#include "colorimetry/light.h"
#include "colorimetry/observer.h"
#include "protocols/procedures/adjustment.h"
#include "protocols/procedures/task.h"
#include "stimuli/field.h"
#include "stimuli/flicker.h"
#include "stimuli/frame_depth.h"

namespace isoseam {

inline constexpr int kProtocolVersion = 1;

struct RigSource {
    std::string name;
    std::string calibration_file;  // from the protocol, resolved against its folder; may be empty (then the
                                   // command line)
    int line = 0;
};

// Which calibrated source lights each half. Surround, fixation mark, adaptation and pages are lit by one
// source only, the reference half's (Setup::field_source): where two screens are seen through each other
// their lights would add.
struct Rig {
    double distance_mm = 0.0;
    std::vector<RigSource> sources;    // one or two
    std::array<int, 2> half_source{};  // index into sources, by Half
    std::array<bool, 2> mirrored{};    // by source: seen in a mirror
};

// Where something stands in the file, for messages.
struct Place {
    int line = 0;
    int column = 0;
};

struct NamedLight {
    LightSpec spec;
    int line = 0;
    int column = 0;
};

// One value for all languages (under ""), or one for each language of the protocol.
template <class T>
struct ByLanguage {
    std::map<std::string, T> values;
    bool empty() const { return values.empty(); }
    // ISOSEAM_CHECK: there is one.
    const T& in(const std::string& language) const {
        const auto found = values.count(language) > 0 ? values.find(language) : values.find("");
        ISOSEAM_CHECK(found != values.end(), language);
        return found->second;
    }
};
using Words = ByLanguage<std::string>;
using Paragraphs = ByLanguage<std::vector<std::string>>;

// Where the lights and directions of a condition stand in the file, as paths: "conditions[2].reference".
struct ConditionKeys {
    std::string reference{};
    std::string test{};
    std::array<std::string, 2> rings{};
    std::string along{};  // of a task
};

struct Condition {
    std::string name;
    LightSpec reference;  // light of the reference half; of a task, what a place without a target shows
    // A light of another colour to set against it: it is the predicted match at the radiance that gives it
    // the reference's luminance (V_F of the nominal observer). None: the predicted match is the reference.
    std::optional<LightSpec> test;
    int repeats = 1;  // settings; of a task, runs
    int line = 0;     // of the reference
    int column = 0;
    int block = 0;  // index
    // What positions and levels are measured along: the adjustment's axes, or of a task the directions of its
    // levels (one for each dimension, without steps and starts).
    std::vector<AdjustmentAxis> axes{};
    // Lights of the ring beside the first and the second half, instead of the protocol's.
    std::optional<std::array<LightSpec, 2>> rings{};
    ConditionKeys keys{};
};

struct InstructionPage {
    Words heading;
    Paragraphs paragraphs;
    bool keys = false;  // show what the keys do in the block that follows
};

// Before anything is shown. Who does not agree leaves.
struct Consent {
    Words heading;
    Paragraphs paragraphs;
};

// Asked of the participant. Never free text.
struct ParticipantQuestion {
    enum class Form { yes_no, choice, number };
    std::string name;  // that the answer is recorded under
    Words ask;
    Form form = Form::yes_no;
    struct Choice {
        std::string value;  // that is recorded
        Words label;        // that is shown
    };
    std::vector<Choice> choices{};  // 2 to 9
    double lowest = 0.0;            // of a number
    double highest = 0.0;
    int line = 0;
};

enum class TrialOrder {
    shuffled,         // all repeats of all conditions as a whole
    listed,           // condition by condition
    rounds,           // each condition once, in a new order each time
    latin_square,     // condition by condition: over as many participants as there are conditions each stands
                      // once in each place
    counterbalanced,  // the same, and each follows each other one equally often
};

struct AdjustmentPlan {
    bool bracketing = false;  // starting points; else at random
    std::optional<double> time_limit_s{};
};

// Settings of least flicker, from above and below in turn, on one axis; `repeats` of a condition are its
// settings, an even number.
struct FlickerNullPlan {
    double bracket = 0.0;
    double jitter = 0.0;
    std::optional<double> time_limit_s{};
};

// A level that a task can ask for, and where in the file that is written.
struct AskedLevel {
    Level level;
    std::string key;  // path
    Place place;
};

struct TaskPlan {
    TaskSpec spec;             // levels along the condition's axes; 0 is the predicted match
    double wait_s = 0.0;       // of the empty field before each trial
    double shown_s = 0.0;      // of the target; 0: until the answer
    double onset_s = 0.0;      // over which it rises and falls (raised cosine), inside shown_s
    double between_s = 0.0;    // of the empty field between two intervals
    bool interleaved = false;  // trials of all runs of the block come mixed
    std::vector<AskedLevel>
        asked{};  // all levels that it can ask for; of a staircase, the ends of its tracks
};

struct Block {
    std::string name;                    // "" where the protocol is one block
    std::vector<InstructionPage> pages;  // before it
    AdjustmentSpace space = AdjustmentSpace::cone_contrast;
    std::variant<AdjustmentPlan, FlickerNullPlan, TaskPlan> plan;
    TrialOrder order = TrialOrder::shuffled;
    int rest_every = 0;               // trials between rests; 0: none
    double seconds_per_trial = 20.0;  // for the expected duration
    std::string key;                  // its path in the file: "" or "blocks[1]."
};

// The reference light and the adjusted one take turns.
struct FlickerPlan {
    FlickerForm form = FlickerForm::square;
    Exchange exchange = Exchange::lights;
    double frequency_hz = 0.0;
    double onset_s = 0.0;    // of the depth, from nothing
    Degrees largest_field;   // the protocol's own limit
    double longest_s = 0.0;  // at a stretch; then the field is taken away until the observer goes on
    Words exclusion;         // the question that is asked before anything flickers; who cannot say no leaves
    int line = 0;            // of the frequency
    int column = 0;
};

struct Protocol {
    std::string title;
    std::string about;
    std::vector<std::string>
        languages;  // codes, the first one usual; empty: one language, texts as they stand
    std::optional<Consent> consent;
    std::vector<Words> exclusions;  // questions; who cannot say no to one leaves
    std::vector<ParticipantQuestion> questions_before;
    std::vector<ParticipantQuestion> questions_after;
    ObserverParameters observer;
    bool age_from_session = false;  // the observer's age is the participant's: see set_age
    Rig rig;
    std::map<std::string, NamedLight> lights;
    FieldGeometry field;
    LightSpec surround = parse_light("black");  // of field's surround
    std::optional<LightSpec> ring;              // light of the ring around the field, if there is one
    std::optional<LightSpec> fixation;          // light of the mark, if there is one
    std::optional<LightSpec> adaptation;        // full-field light before matching
    double adaptation_s = 0.0;
    double top_up_s = 0.0;               // adaptation before each further setting; 0: none
    std::vector<InstructionPage> pages;  // before everything but consent and questions
    Words closing;                       // after the last trial
    std::optional<FlickerPlan> flicker;
    Half adjusted = Half::second;  // of a field that is not split into halves, the second light
    std::vector<Block> blocks;     // at least one
    TrialOrder block_order = TrialOrder::listed;
    std::vector<Condition> conditions;  // of all blocks, block by block; each name once
    std::optional<std::uint64_t> seed;  // else the command line or a drawn one
    std::string file;                   // where it came from
    std::string text;                   // its bytes
    // Text of each spectrum file that lights read, by path as written.
    std::map<std::string, std::string> spectrum_files;
    // By key path: "field.surround", "adjustment.axes.L+M", "conditions[1].reference".
    std::map<std::string, Place> places;
};

// Reads and checks the form. One InputError with all faults, each at its line, column and key.
Protocol read_protocol(const std::string& path);
Protocol parse_protocol(const std::string& text, const std::string& file);
// The same from what a record keeps: spectra come from `spectrum_files`, by path as written, and no file is
// read.
Protocol parse_protocol(const std::string& text, const std::string& file,
                        const std::map<std::string, std::string>& spectrum_files);

// The observer's age is that of the participant, 20 to 80 years; InputError (key "--age") otherwise, or where
// the protocol names an age of its own.
void set_age(Protocol& protocol, double age_years);

// One procedure on one condition, from its first trial to its last: one setting, or a whole staircase.
struct Run {
    int number = 0;     // 1 .. in the order begun; the counter of its draws
    int condition = 0;  // index
    int block = 0;      // index
    int repeat = 0;     // 1 ..
};
// The order for a seed and a participant. Repeats are numbered as they are shown. InputError (key
// "--participant") where the order hangs on the number at the end of the code, and there is none.
std::vector<Run> run_order(const Protocol& protocol, std::uint64_t seed, const std::string& participant);
// "P07" is 7; none without digits at the end.
std::optional<std::uint64_t> participant_number(const std::string& participant);
bool depends_on_participant(const Protocol& protocol);
// Settings and answers; see planned_trials of a task.
int planned_trials(const Protocol& protocol);

// A protocol with its calibrations: every light resolved on the half that shows it. The light `black`, and
// any other that emits nothing, is the screen's own black: all drives 0. May be moved; problems hold pointers
// into it.
class Setup {
  public:
    // `calibrations` in the order of protocol.rig.sources. Collects every light that is out of gamut on the
    // half or surround that shows it, every light that cannot be resolved, every condition whose predicted
    // match is out of gamut on the adjusted half and every axis of a primary that the adjusted half has not,
    // into one InputError at the protocol's lines.
    Setup(Protocol protocol, const std::vector<Calibration>& calibrations);
    Setup(Setup&&) = default;
    Setup& operator=(Setup&&) = default;
    Setup(const Setup&) = delete;
    Setup& operator=(const Setup&) = delete;

    const Protocol& protocol() const { return protocol_; }
    const Observer& observer() const { return observer_; }
    int source_count() const { return static_cast<int>(solvers_.size()); }
    const DriveSolver& solver(int source) const { return solvers_[static_cast<std::size_t>(source)]; }
    const DriveSolver& solver(Half half) const;
    int source_of(Half half) const { return protocol_.rig.half_source[static_cast<std::size_t>(half)]; }
    Half reference_half() const { return other(protocol_.adjusted); }
    // The source that lights surround, fixation mark, adaptation and pages.
    int field_source() const { return protocol_.rig.half_source[static_cast<std::size_t>(reference_half())]; }

    // What a light is on one source: an xyY light is what a colorimeter would read there. In gamut or not.
    Light light(const LightSpec& spec, int source) const;
    // Its drive. InputError (file, line of the light) if out of gamut there.
    LinearDrive light_on(const LightSpec& spec, int source) const;
    LinearDrive reference(int condition) const;  // on the reference half's source
    LinearDrive surround(int source) const;
    LinearDrive fixation(int source) const;
    LinearDrive ring(int source) const;  // the protocol's
    LinearDrive adaptation(int source) const;

    const Block& block_of(int condition) const;
    LinearDrive ring(int condition, Half half) const;  // beside it, on the field's source

    // The adjustment of one condition on a frame buffer, or what a task's levels mean: the predicted match is
    // what the reference half really emits (see shown_linear()), or the condition's test light at its
    // luminance.
    AdjustmentProblem problem(int condition, FrameDepth reference_depth) const;

    // The flicker of this protocol on a screen; InputError (key "flicker.frequency") where its refresh does
    // not allow the frequency. ISOSEAM_CHECK: the protocol has one.
    Flicker flicker(double refresh_hz) const;

    bool halves_share_primaries() const;
    // In plain words: what matches on this rig can and cannot show, and what else a reader of the results
    // should know.
    std::vector<std::string> cautions(DitherKind dither = DitherKind::ordered) const;

  private:
    void keep_lights();

    Protocol protocol_;
    Observer observer_;
    std::vector<DriveSolver> solvers_;
    // What a session asks for again and again, resolved once: by the light and the source.
    using LightOnSource = std::pair<const LightSpec::Node*, int>;
    std::map<LightOnSource, LinearDrive> drives_;
    std::map<LightOnSource, Light> test_lights_;
};

// `protocol check`: everything that can be said before a participant sits down.
struct ProtocolReport {
    std::vector<Fault> faults;  // of the file and of lights out of gamut
    std::vector<std::string> cautions;
    double expected_duration_s = 0.0;
    int settings = 0;
    bool halves_share_primaries = false;
    struct ConditionReport {
        std::string name;
        double reference_margin = 0.0;  // gamut margin on the reference half
        double match_margin = 0.0;      // of the predicted match on the adjusted half
        // Of the starting points of an adjustment that are in gamut, 0..1; none for other blocks.
        std::optional<double> reachable_share;
        // Of the predicted match against the reference half, for rods (CIE 1951); none beside a reference
        // that gives rods nothing.
        std::optional<double> rod_contrast;
        int block = 0;  // index
    };
    std::vector<ConditionReport> conditions;
    struct BlockReport {
        std::string name;  // "" where the protocol is one block
        std::string what;  // "adjustment", "forced_choice by staircase" ...
        int trials = 0;    // settings or answers
        double expected_duration_s = 0.0;
    };
    std::vector<BlockReport> blocks;
    std::optional<double> age_years;  // that was taken for a protocol with `age: session`
};
// Pages (kSecondsPerPage each), adaptation, top-ups before all settings but the first, settings, rests
// (kSecondsPerRest each).
double expected_duration_s(const Protocol& protocol);
// Of one block: its pages, adaptation, trials and rests.
double expected_duration_s(const Protocol& protocol, int block);
int planned_trials(const Protocol& protocol, int block);
inline constexpr double kSecondsPerPage = 15.0;
inline constexpr double kSecondsPerRest = 30.0;
// reachable_share is the share of this many starting points, drawn as a session with seed 0 would draw them.
inline constexpr int kReachabilityDraws = 2000;
double reachable_share(const AdjustmentProblem& problem);
// `calibration_files`: source name -> path, from the command line; overrides the protocol's own.
// `dither` is what sessions will use.
// For whom, where the protocol hangs on that.
struct CheckedFor {
    std::optional<double> age_years;  // with `age: session`; none: kUsualAgeYears
    std::string participant;          // "": nobody
};
inline constexpr double kUsualAgeYears = 32.0;
ProtocolReport check_protocol(const std::string& path,
                              const std::map<std::string, std::string>& calibration_files,
                              DitherKind dither = DitherKind::ordered, const CheckedFor& whom = {});

// The calibration file of each source: the command line's, else the protocol's. InputError when one is
// missing, or when the command line names a source that the rig has not.
std::vector<std::string> calibration_paths(const Protocol& protocol,
                                           const std::map<std::string, std::string>& from_command_line);

// Ready protocols that come with the program: those of the folder that the environment variable
// ISOSEAM_PROTOCOL_LIBRARY names, else of protocols/library of the source. A file that does not read has its
// fault as its title. MachineError when the folder cannot be read.
struct ReadyProtocol {
    std::string name;
    std::string title;
    std::string path;
};
std::vector<ReadyProtocol> ready_protocols();

}  // namespace isoseam
