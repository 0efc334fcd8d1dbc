#pragma once
// This header computes what a session showed from its record alone: spectra, tristimulus values, and the
// excitations of any eye. The light of a half follows from its linear drives and the text of its source's
// calibration, interactions included. For an additive screen this takes one product of a matrix and a vector
// for each half.

#include <Eigen/Core>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "colorimetry/observer.h"
#include "results_schema/session_header.h"
#include "results_schema/stimulus_record.h"

namespace isoseam {

bool had_late_frames(const std::optional<FramesRecord>& frames);

// These are three responses to a screen's light that are linear in its spectrum.
class ScreenResponse {
  public:
    static ScreenResponse of_xyz(const DisplayModel& display);  // CIE 1931, 683 lm/W
    static ScreenResponse of_lms(const DisplayModel& display, const Observer& observer);
    // Black and interactions are included. Throws an InputError if there are not as many drives as primaries.
    Eigen::Vector3d at(std::span<const double> linear) const;

  private:
    // `response` gives the responses to one spectrum.
    template <class Response>
    ScreenResponse(const DisplayModel& display, Eigen::Matrix3Xd from_linear, const Eigen::Vector3d& black,
                   const Response& response);

    Eigen::Matrix3Xd from_linear_;
    Eigen::Matrix3Xd from_products_;
    std::vector<Interaction> interactions_;
    Eigen::Vector3d black_;
};

// These are the screens of all sessions met so far. A calibration that several sessions share is read once.
class KnownScreens {
  public:
    struct Screen {
        DisplayModel display;
        ScreenResponse xyz;
        std::map<std::string, ScreenResponse> lms;  // by Observer::description()
    };
    // Throws an InputError if the text is no calibration.
    Screen& screen(const StoredText& calibration);
    const ScreenResponse& lms(Screen& screen, const Observer& observer);

  private:
    std::map<std::string, std::unique_ptr<Screen>> by_sha256_;
};

// ShownLights refers to `screens`, which must outlive it. Its functions of a half throw an InputError if the
// half's source is none of the session's sources.
class ShownLights {
  public:
    // Throws an InputError if a source's calibration is not in the header or cannot be read.
    ShownLights(const SessionHeader& header, KnownScreens& screens);

    const DisplayModel& display(const HalfRecord& half) const;
    // Throws an InputError if there is no such source, or if the half does not have as many drives as the
    // source has primaries. Then none of the following can be computed.
    void check(const HalfRecord& half) const;
    Spectrum spectrum(const HalfRecord& half) const;
    Xyz xyz(const HalfRecord& half) const;

    // This is for many halves and one eye.
    class Excitations {
      public:
        Lms lms(const HalfRecord& half) const;

      private:
        friend class ShownLights;
        std::vector<std::pair<std::string, const ScreenResponse*>> by_source_;
    };
    Excitations caught_by(const Observer& observer) const;
    // For a few halves only.
    Lms lms(const HalfRecord& half, const Observer& observer) const;

  private:
    KnownScreens* known_;
    std::vector<std::pair<std::string, KnownScreens::Screen*>> by_source_;
};

}  // namespace isoseam
