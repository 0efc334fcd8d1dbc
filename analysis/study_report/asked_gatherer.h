#pragma once
// The gatherer collects what the sessions of one series asked, folder by folder.

#include <tuple>

#include "analysis/study_report/asked.h"
#include "analysis/summaries/shown_lights.h"

namespace isoseam {

class AskedGatherer {
  public:
    // `screens` must outlive the gatherer.
    explicit AskedGatherer(KnownScreens& screens) : screens_(&screens) {}
    // All folders must have one series_key.
    void add(const SessionFolder& folder);
    AskedSeries finish() const;

  private:
    using Key =
        std::tuple<bool, std::string, std::string, std::string, std::vector<std::string>, std::optional<int>>;
    struct Lights;
    void add_events(const SessionFolder& folder);
    void add_setting(const std::string& participant, const SettingRecord& setting, const Lights& lights);
    void add_answer(const std::string& participant, const AnswerRecord& answer, const Lights& lights);
    template <class Record>
    AskedCondition& condition_of(const Record& record, const std::string& form,
                                 const std::optional<int>& places);
    void add_halves(AskedCondition& condition, const HalfRecord& shown, const HalfRecord& reference,
                    const Lights& lights) const;

    KnownScreens* screens_;
    SeriesGatherer facts_;
    AskedSeries asked_;
    std::map<Key, AskedCondition> conditions_;
};

}  // namespace isoseam
