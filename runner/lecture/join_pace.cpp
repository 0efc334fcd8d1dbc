#include "runner/lecture/join_pace.h"

#include <algorithm>
#include <chrono>

namespace isoseam {

bool JoinPace::lets_in(const std::string& client, double now_s) {
    const WebTime now =
        WebTime{} + std::chrono::duration_cast<WebTime::duration>(std::chrono::duration<double>(now_s));
    buckets_.forget_full(now);
    if (buckets_.wait_s(client, now) > 0.0)
        return false;
    buckets_.take(client, now);
    return true;
}

void JoinPace::joined(double now_s) {
    join_times_s_.push_back(now_s);
    while (join_times_s_.front() < now_s - kJoinWindowSeconds)
        join_times_s_.pop_front();
}

double JoinPace::joins_per_s(double now_s) const {
    const auto first =
        std::lower_bound(join_times_s_.begin(), join_times_s_.end(), now_s - kJoinWindowSeconds);
    return static_cast<double>(join_times_s_.end() - first) / kJoinWindowSeconds;
}

}  // namespace isoseam
