#pragma once
// What is asked of the observer: a protocol file, read and checked. The language is described in README.md.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "colorimetry/errors.h"
#include "colorimetry/light.h"
#include "colorimetry/observer.h"
#include "protocols/procedures/adjustment.h"
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

struct Condition {
    std::string name;
    LightSpec reference;  // light of the reference half
    // A light of another colour to set against it: it is the predicted match at the radiance that gives it
    // the reference's luminance (V_F of the nominal observer). None: the predicted match is the reference.
    std::optional<LightSpec> test;
    int repeats = 1;
    int line = 0;  // of the reference
    int column = 0;
};

struct InstructionPage {
    std::string heading;
    std::vector<std::string> paragraphs;
};

// The reference light and the adjusted one take turns.
struct FlickerPlan {
    FlickerForm form = FlickerForm::square;
    Exchange exchange = Exchange::lights;
    double frequency_hz = 0.0;
    double onset_s = 0.0;    // of the depth, from nothing
    Degrees largest_field;   // the protocol's own limit
    double longest_s = 0.0;  // at a stretch; then the field is taken away until the observer goes on
    std::string exclusion;   // the question that is asked before anything flickers; who cannot say no leaves
    int line = 0;            // of the frequency
    int column = 0;
};

struct Protocol {
    std::string title;
    std::string about;
    ObserverParameters observer;
    Rig rig;
    std::map<std::string, NamedLight> lights;
    FieldGeometry field;
    LightSpec surround = parse_light("black");  // of field's surround
    std::optional<LightSpec> ring;              // light of the ring around the field, if there is one
    std::optional<LightSpec> fixation;          // light of the mark, if there is one
    std::optional<LightSpec> adaptation;        // full-field light before matching
    double adaptation_s = 0.0;
    double top_up_s = 0.0;               // adaptation before each further setting; 0: none
    std::vector<InstructionPage> pages;  // before matching
    std::string closing;                 // after the last setting
    int rest_every = 0;                  // settings between rests; 0: none
    std::optional<FlickerPlan> flicker;
    Half adjusted = Half::second;  // of a field that is not split into halves, the second light
    AdjustmentSpace space = AdjustmentSpace::cone_contrast;
    std::vector<AdjustmentAxis> axes;
    std::vector<Condition> conditions;
    bool shuffled = true;
    std::optional<std::uint64_t> seed;  // else the command line or a drawn one
    double seconds_per_setting = 20.0;  // for the expected duration
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

struct Trial {
    int number = 0;     // 1 .. in the order shown
    int condition = 0;  // index
    int repeat = 0;     // 1 ..
};
// The order for a seed: repeats of all conditions, shuffled as a whole if the protocol says so, else
// condition by condition. Repeats are numbered as they are shown.
std::vector<Trial> trial_order(const Protocol& protocol, std::uint64_t seed);

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
    LinearDrive ring(int source) const;
    LinearDrive adaptation(int source) const;

    // The adjustment of one condition on a frame buffer: the predicted match is what the reference half
    // really emits (see shown_linear()), or the condition's test light at its luminance.
    AdjustmentProblem problem(int condition, FrameDepth reference_depth) const;

    // The flicker of this protocol on a screen; InputError (key "flicker.frequency") where its refresh does
    // not allow the frequency. ISOSEAM_CHECK: the protocol has one.
    Flicker flicker(double refresh_hz) const;

    bool halves_share_primaries() const;
    // In plain words: what matches on this rig can and cannot show, and what else a reader of the results
    // should know.
    std::vector<std::string> cautions(DitherKind dither = DitherKind::ordered) const;

  private:
    Protocol protocol_;
    Observer observer_;
    std::vector<DriveSolver> solvers_;
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
        double reachable_share = 0.0;   // of starting points that are in gamut, 0..1
        // Of the predicted match against the reference half, for rods (CIE 1951); none beside a reference
        // that gives rods nothing.
        std::optional<double> rod_contrast;
    };
    std::vector<ConditionReport> conditions;
};
// Pages (kSecondsPerPage each), adaptation, top-ups before all settings but the first, settings, rests
// (kSecondsPerRest each).
double expected_duration_s(const Protocol& protocol);
inline constexpr double kSecondsPerPage = 15.0;
inline constexpr double kSecondsPerRest = 30.0;
// reachable_share is the share of this many starting points, drawn as a session with seed 0 would draw them.
inline constexpr int kReachabilityDraws = 2000;
double reachable_share(const AdjustmentProblem& problem);
// `calibration_files`: source name -> path, from the command line; overrides the protocol's own.
// `dither` is what sessions will use.
ProtocolReport check_protocol(const std::string& path,
                              const std::map<std::string, std::string>& calibration_files,
                              DitherKind dither = DitherKind::ordered);

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
