#include "analysis/statistics/box_maximum.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"

namespace isoseam {
namespace {

using Point = std::vector<double>;
constexpr double kNothing = -std::numeric_limits<double>::infinity();
// Differences of log-likelihood that no interval or test can notice.
constexpr double kConverged = 1e-11;
constexpr int kMostSteps = 600;
constexpr int kMostRestarts = 6;

class Search {
  public:
    Search(const std::function<double(const Point&)>& function, const std::vector<BoxDimension>& dimensions)
        : function_(function), dimensions_(dimensions) {}

    // From the best point of the grid, and from the best one that is not its neighbour.
    BoxMaximum run() const {
        const std::vector<Cell> cells = grid();
        const auto by_value = [](const Cell& a, const Cell& b) { return a.value < b.value; };
        const Cell& best = *std::max_element(cells.begin(), cells.end(), by_value);
        BoxMaximum found = climbed({best.at, best.value});
        const Cell* second = nullptr;
        for (const Cell& cell : cells)
            if (!neighbours(cell, best) && (second == nullptr || second->value < cell.value))
                second = &cell;
        if (second != nullptr && second->value > kNothing) {
            const BoxMaximum other = climbed({second->at, second->value});
            if (other.value > found.value)
                found = other;
        }
        return found;
    }

  private:
    struct Cell {
        std::vector<std::size_t> index;
        Point at;
        double value = kNothing;
    };

    static bool neighbours(const Cell& a, const Cell& b) {
        for (std::size_t i = 0; i < a.index.size(); ++i)
            if (std::max(a.index[i], b.index[i]) - std::min(a.index[i], b.index[i]) > 1)
                return false;
        return true;
    }

    std::vector<Cell> grid() const {
        std::vector<Cell> cells;
        std::vector<std::size_t> index(dimensions_.size(), 0);
        for (;;) {
            Cell cell{index, {}, kNothing};
            for (std::size_t i = 0; i < index.size(); ++i)
                cell.at.push_back(dimensions_[i].grid[index[i]]);
            cell.value = function_(cell.at);
            cells.push_back(std::move(cell));
            std::size_t i = 0;
            while (i < index.size() && ++index[i] == dimensions_[i].grid.size())
                index[i++] = 0;
            if (i == index.size())
                return cells;
        }
    }

    // A simplex can collapse onto the border of the box, so it starts anew until that gains nothing.
    BoxMaximum climbed(BoxMaximum from) const {
        for (int restart = 0; restart < kMostRestarts && from.value > kNothing; ++restart) {
            const BoxMaximum next = simplex(from);
            const bool gained = next.value > from.value + kConverged;
            if (next.value > from.value)
                from = next;
            if (!gained)
                break;
        }
        return from;
    }

    BoxMaximum at(Point point) const {
        for (std::size_t i = 0; i < point.size(); ++i)
            point[i] = std::clamp(point[i], dimensions_[i].low, dimensions_[i].high);
        const double value = function_(point);
        return {std::move(point), value};
    }

    static Point along(const Point& from, const Point& to, double factor) {
        Point point(from.size());
        for (std::size_t i = 0; i < from.size(); ++i)
            point[i] = from[i] + factor * (to[i] - from[i]);
        return point;
    }

    BoxMaximum simplex(const BoxMaximum& start) const {
        std::vector<BoxMaximum> corners = {start};
        for (std::size_t i = 0; i < dimensions_.size(); ++i) {
            Point point = start.at;
            const BoxDimension& dimension = dimensions_[i];
            const bool room = point[i] + dimension.step <= dimension.high;
            point[i] += room ? dimension.step : -dimension.step;
            corners.push_back(at(point));
        }
        const auto better = [](const BoxMaximum& a, const BoxMaximum& b) { return a.value > b.value; };
        for (int step = 0; step < kMostSteps; ++step) {
            std::sort(corners.begin(), corners.end(), better);
            if (corners.front().value - corners.back().value < kConverged && small(corners))
                break;
            improve(corners);
        }
        return *std::min_element(corners.begin(), corners.end(), better);
    }

    bool small(const std::vector<BoxMaximum>& corners) const {
        constexpr double kSmall = 1e-6;  // of the first step
        for (std::size_t i = 0; i < dimensions_.size(); ++i)
            if (std::abs(corners.front().at[i] - corners.back().at[i]) > kSmall * dimensions_[i].step)
                return false;
        return true;
    }

    // The usual moves: reflect the worst corner, go further, go half way, or shrink. Corners are in order,
    // best first.
    void improve(std::vector<BoxMaximum>& corners) const {
        BoxMaximum& worst = corners.back();
        Point centre(dimensions_.size(), 0.0);
        for (std::size_t corner = 0; corner + 1 < corners.size(); ++corner)
            for (std::size_t i = 0; i < centre.size(); ++i)
                centre[i] += corners[corner].at[i] / static_cast<double>(dimensions_.size());
        const BoxMaximum reflected = at(along(centre, worst.at, -1.0));
        if (reflected.value > corners.front().value) {
            const BoxMaximum further = at(along(centre, worst.at, -2.0));
            worst = further.value > reflected.value ? further : reflected;
            return;
        }
        if (reflected.value > corners[corners.size() - 2].value) {
            worst = reflected;
            return;
        }
        const BoxMaximum half_way =
            at(along(centre, reflected.value > worst.value ? reflected.at : worst.at, 0.5));
        if (half_way.value > std::max(reflected.value, worst.value)) {
            worst = half_way;
            return;
        }
        for (std::size_t corner = 1; corner < corners.size(); ++corner)
            corners[corner] = at(along(corners.front().at, corners[corner].at, 0.5));
    }

    const std::function<double(const Point&)>& function_;
    const std::vector<BoxDimension>& dimensions_;
};

}  // namespace

BoxMaximum maximum_in_box(const std::function<double(const std::vector<double>&)>& function,
                          const std::vector<BoxDimension>& dimensions) {
    for (const BoxDimension& dimension : dimensions)
        ISOSEAM_CHECK(!dimension.grid.empty() && dimension.step > 0.0 && dimension.low <= dimension.high);
    if (dimensions.empty())
        return {{}, function({})};
    return Search(function, dimensions).run();
}

}  // namespace isoseam
