#pragma once
// What sessions, rehearsals and lectures all write down of a seat: its screens and calibrations, and what a half
// really showed.
//
//     log.write_header(describe_session(setup, seed, station));
//     record.reference = half_record(setup, station, setup.reference_half(), drive);

#include <array>
#include <cstdint>

#include "protocols/setup/setup.h"
#include "results_schema/session_header.h"
#include "results_schema/setting_record.h"
#include "runner/station/station.h"

namespace isoseam {

// Everything of a session's header except who takes part, when, and of which kind it is. The caller adds these.
SessionHeader describe_session(const Setup& setup, std::uint64_t seed, const Station& station);

// The numbers of a vector as records hold them.
Few<double> as_recorded(const Eigen::VectorXd& numbers);
std::array<double, 3> as_recorded(const Eigen::Vector3d& excitations);

// The light of one half as the station shows it: `linear` rounded to the codes of its frame buffer.
HalfRecord half_record(const Setup& setup, const Station& station, Half half, const LinearDrive& linear);
Lms lms_of(const HalfRecord& half);

// What a setting of this half showed: both halves, and the adjusted one at its start too.
SettingRecord shown_setting(const Setup& setup, const Station& station, Half adjusted,
                            const LinearDrive& start, const LinearDrive& end, const LinearDrive& reference);

}  // namespace isoseam
