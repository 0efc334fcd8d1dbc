#include "analysis/statistics/unit_means.h"

#include <map>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

struct RunningMean {
    std::size_t count = 0;
    Eigen::VectorXd mean;

    void add(const Eigen::VectorXd& value) {
        if (count == 0)
            mean = Eigen::VectorXd::Zero(value.size());
        ++count;
        mean += (value - mean) / static_cast<double>(count);
    }
};

Eigen::MatrixXd columns_of(const std::vector<RunningMean>& means) {
    Eigen::MatrixXd columns(means.front().mean.size(), static_cast<Eigen::Index>(means.size()));
    for (std::size_t i = 0; i < means.size(); ++i)
        columns.col(static_cast<Eigen::Index>(i)) = means[i].mean;
    return columns;
}

bool alike(const std::vector<RunningMean>& means) {
    for (const RunningMean& mean : means)
        if (mean.count != means.front().count)
            return false;
    return true;
}

}  // namespace

std::vector<double> UnitMeans::of(Eigen::Index coordinate) const {
    const Eigen::VectorXd row = means.row(coordinate);
    return {row.begin(), row.end()};
}

UnitMeans unit_means(const Eigen::MatrixXd& values, std::span<const SettingPlace> places) {
    ISOSEAM_CHECK(!places.empty() && static_cast<std::size_t>(values.cols()) == places.size());
    std::map<std::pair<int, int>, RunningMean> by_session;
    for (std::size_t i = 0; i < places.size(); ++i)
        by_session[{places[i].participant, places[i].session}].add(values.col(static_cast<Eigen::Index>(i)));
    std::vector<RunningMean> sessions;
    std::vector<RunningMean> participants;
    const int* last = nullptr;
    for (const auto& [key, mean] : by_session) {
        if (last == nullptr || *last != key.first)
            participants.emplace_back();
        last = &key.first;
        participants.back().add(mean.mean);
        sessions.push_back(mean);
    }
    UnitMeans result;
    result.participants = participants.size();
    result.sessions = sessions.size();
    result.settings = places.size();
    result.balanced = alike(participants) && alike(sessions);
    if (participants.size() > 1) {
        result.unit = RepetitionUnit::participant;
        result.means = columns_of(participants);
    } else if (sessions.size() > 1) {
        result.unit = RepetitionUnit::session;
        result.means = columns_of(sessions);
    } else {
        result.means = values;
    }
    return result;
}

UnitMeans unit_means(std::span<const double> values, std::span<const SettingPlace> places) {
    return unit_means(Eigen::Map<const Eigen::RowVectorXd>(values.data(), std::ssize(values)), places);
}

std::optional<MeanOfUnits> mean_of(const UnitMeans& units) {
    const Eigen::Index count = units.means.cols();
    if (count < 2)
        return std::nullopt;
    const auto n = static_cast<double>(count);
    const Eigen::VectorXd first = units.means.col(0);  // differences keep the digits of a large common part
    const Eigen::MatrixXd from_first = units.means.colwise() - first;
    const Eigen::VectorXd mean = from_first.rowwise().mean();
    const Eigen::MatrixXd centred = from_first.colwise() - mean;
    const Eigen::MatrixXd covariance = centred * centred.transpose() / (n - 1.0);
    MeanOfUnits result{first + mean, covariance / n, std::nullopt};
    result.from_origin = hotelling_test(result.mean, covariance, static_cast<std::size_t>(count));
    return result;
}

}  // namespace isoseam
