#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "analysis/study_report/section_parts.h"
#include "analysis/study_report/study_tables.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/add_once.h"

namespace isoseam {
namespace {

void add_folder_tables(PageSection& section, const StudyEvidence& evidence) {
    PageTable used{"Folders used, in the order given.",
                   {"folder", "session", "state", "records", "begun (UTC)", "recorded by", "seed"}};
    PageTable left_out{"Folders left out.", {"folder", "state", "why"}};
    auto header = evidence.headers.begin();
    for (const FolderUse& use : evidence.folders) {
        if (!use.left_out_because.empty()) {
            left_out.rows.push_back({use.folder, to_string(use.state), use.left_out_because});
            continue;
        }
        used.rows.push_back({use.folder, use.session, to_string(use.state), std::to_string(use.records),
                             header->kind == "rehearsal" ? "rehearsal" : header->started_utc,
                             "isoseam " + header->program_version, std::to_string(header->seed)});
        ++header;
    }
    add_table(section, std::move(used));
    add_table(section, std::move(left_out));
}

PageTable file_table(const StudyEvidence& evidence) {
    PageTable table{"Files that the sessions kept.", {"file", "what", "SHA-256"}};
    const auto add = [&](const StoredText& stored, const std::string& what) {
        add_once(table.rows, {stored.file, what, stored.sha256});
    };
    for (const SessionHeader& header : evidence.headers)
        add(header.protocol, "protocol");
    for (const SessionHeader& header : evidence.headers) {
        for (const auto& [sha256, stored] : header.calibrations)
            add(stored, "calibration");
        for (const auto& [path, stored] : header.files)
            add(stored, "read by the protocol");
    }
    return table;
}

using Rows = std::vector<std::vector<std::string>>;

const Rows kMatchFigures{
    {"contrast L, M, S",
     "(adjusted \u2212 predicted) / predicted of each cone\u2019s excitation, nominal observer, by the drive "
     "values of both halves, as recorded; mean and SD (n \u2212 1) over settings"},
    {"distance", "length of the mean contrast"},
    {"time", "mean from the field\u2019s first frame to acceptance"},
    {"unit of a mean",
     "the participant if there are several, else the session if there are several, else the setting of the "
     "one session; each unit enters with its mean and the same weight, a participant with the mean of the "
     "sessions\u2019 means"},
    {"mean and SD along an axis",
     "mean of the units\u2019 means; SD (n \u2212 1) of the settings\u2019 coordinates as recorded"},
    {"95 % of the mean", "Student\u2019s t over units, with their number \u2212 1 degrees of freedom"},
    {"robust mean, robust SD",
     "Huber\u2019s M-estimate of location (k = 1.345); median absolute deviation times 1.4826"},
    {"midpoint, half-range", "of the smallest and the largest setting"},
    {"l, s",
     "MacLeod-Boynton coordinates (CIE 170-2:2015 scaling, nominal observer), setting less predicted "
     "match"},
    {"ellipse of settings", "sample covariance (n \u2212 1), chi-square with 2 degrees of freedom, 95 %"},
    {"ellipse of the mean",
     "covariance of the units\u2019 means, F distribution (Hotelling), 95 %, from three units on; an angle "
     "is left out "
     "where both semi-axes are alike"},
    {"p of Hotelling\u2019s test",
     "that the mean of the units is the predicted match; of twenty such tests one is below 0.05 "
     "by chance"},
    {"x, y and u\u2032, v\u2032",
     "CIE 1931 and CIE 1976, of the adjusted half\u2019s light by drive values and calibration"}};

const Rows kSpreadFigures{
    {"within, between",
     "square roots of the variance components of one-way random effects, by analysis of "
     "variance; within: chi-square interval; between: modified large-sample interval, cut at "
     "0; p of the F test"}};

const Rows kTrendFigures{
    {"drift, start",
     "least squares on what differs within one condition of one session, settings on trial and "
     "on starting point; Student\u2019s t; of all participants, the mean of their slopes, Student\u2019s t "
     "over participants"},
    {"serial correlation",
     "lag 1, from the settings of a condition and session less their mean and straight drift; p by the beta "
     "distribution with the exact mean and variance of independent settings"}};

const Rows kFlickerFigures{
    {"share of L",
     "maximum likelihood over all conditions, normal scatter of the logarithm of the adjusted "
     "light; interval: profile likelihood held to F(1, n \u2212 1)"},
    {"agreement p", "F test of the conditions\u2019 mean residuals against the scatter within conditions"}};

Rows threshold_figures(const ThresholdOptions& options) {
    return {{"threshold, slope",
             fmt::format("maximum likelihood of a {} function; guess rate of a forced choice 1 / places, of "
                         "other questions {}; lapse rate {}; practice and trials without a target left out",
                         to_string(options.form), rate_option(options.guess), rate_option(options.lapse))},
            {"95 % of threshold and slope",
             "what a likelihood-ratio test at 5 % does not exclude, all else free to adapt"}};
}

PageTable method_table(const StudyEvidence& evidence) {
    PageTable table{"How each figure in a table is computed.", {"figure", "how"}};
    const auto add = [&](const Rows& rows) { table.rows.insert(table.rows.end(), rows.begin(), rows.end()); };
    if (!evidence.matches.series.empty()) {
        add(kMatchFigures);
        add(kTrendFigures);
    }
    if (evidence.has_components())
        add(kSpreadFigures);
    if (!evidence.thresholds.series.empty())
        add(threshold_figures(evidence.thresholds.options));
    if (evidence.has_flicker())
        add(kFlickerFigures);
    add({{"white, black, reference (cd/m\u00b2, x, y)",
          "CIE 1931 from drive values and the calibration\u2019s spectra, 683 lm/W"}});
    return table;
}

}  // namespace

PageSection provenance_section(const StudyEvidence& evidence) {
    PageSection section{"Provenance"};
    add_folder_tables(section, evidence);
    if (!evidence.headers.empty()) {
        section.blocks.emplace_back(file_table(evidence));
        section.blocks.emplace_back(method_table(evidence));
    }
    return section;
}

}  // namespace isoseam
