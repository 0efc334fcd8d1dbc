#pragma once
// A protocol on its calibrated screens.
//
//     const Setup setup(read_protocol(path), calibrations);  // InputError: all lights that do not fit
//     setup.reference(0)                                     // the drive of the first reference
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "calibration/display_model.h"
#include "colorimetry/light.h"
#include "colorimetry/observer.h"
#include "protocols/language/protocol.h"
#include "protocols/procedures/adjustment.h"
#include "stimuli/drive_solution.h"
#include "stimuli/field.h"
#include "stimuli/flicker.h"
#include "stimuli/frame_depth.h"

namespace isoseam {

// The calibrations in `paths`, one for each source of the rig, as `read` reads them. What is wrong with them is
// added to `faults`. A fault of a file as a whole is placed where the rig names that file.
std::vector<Calibration> calibrations_of(const Protocol& protocol, const std::vector<std::string>& paths,
                                         const std::function<Calibration(const std::string& path)>& read,
                                         std::vector<Fault>& faults);

// A protocol with its calibrations: every light has drives on the half that shows it. The light `black`, and
// any other light that emits nothing, is the screen's own black, for which all drives are 0. A setup may be
// moved. Adjustments hold pointers to its solvers.
class Setup {
  public:
    // `calibrations` come in the order of protocol.rig.sources. One InputError, at the protocol's lines,
    // collects every light that is out of gamut on the half or surround that shows it, every light that
    // cannot be computed, every condition whose predicted match is out of gamut on the adjusted half, and
    // every axis of a primary that the adjusted half does not have.
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
    const std::string& source_name(int source) const {
        return protocol_.rig.sources[static_cast<std::size_t>(source)].name;
    }
    int source_of(Half half) const { return protocol_.rig.half_source[static_cast<std::size_t>(half)]; }
    Half reference_half() const { return other(protocol_.adjusted); }
    // The source that lights surround, fixation mark, adaptation and pages.
    int field_source() const { return protocol_.rig.half_source[static_cast<std::size_t>(reference_half())]; }

    // What a light is on one source, in gamut or not: an xyY light is what a colorimeter would read there.
    Light light(const LightSpec& spec, int source) const;
    // The drive of a light on one source. InputError (file and line of the light) if it is out of gamut
    // there.
    LinearDrive light_on(const LightSpec& spec, int source) const;
    LinearDrive reference(int condition) const;  // On the reference half's source.
    LinearDrive surround(int source) const;
    LinearDrive fixation(int source) const;
    LinearDrive ring(int source) const;  // The ring that the protocol names.
    LinearDrive adaptation(int source) const;

    const Block& block_of(int condition) const;
    LinearDrive ring(int condition, Half half) const;  // The ring beside this half, on field_source().

    // The adjustment of one condition on a frame buffer. For a condition of a task it says what the levels
    // mean. The predicted match is what the reference half really emits (see shown_linear()), or the
    // condition's test light at that luminance.
    AdjustmentProblem adjustment(int condition, FrameDepth reference_depth) const;

    // The flicker of this protocol on a screen. InputError (key "flicker.frequency") where the screen's
    // refresh rate does not allow the frequency. ISOSEAM_CHECK: the protocol has flicker.
    Flicker flicker(double refresh_hz) const;

    bool halves_share_primaries() const;

  private:
    void keep_lights();

    Protocol protocol_;
    Observer observer_;
    std::vector<DriveSolver> solvers_;
    // What a session asks for again and again is computed once and kept by light and source.
    using LightOnSource = std::pair<const LightSpec::Node*, int>;
    std::map<LightOnSource, LinearDrive> drives_;
    std::map<LightOnSource, Light> test_lights_;
};

}  // namespace isoseam
