#include "runner/web/token_buckets.h"

#include <algorithm>

namespace isoseam {

double TokenBuckets::tokens(const Bucket& bucket, WebTime now) const {
    const double since_s = std::chrono::duration<double>(now - bucket.at).count();
    return std::min(rate_.at_once, bucket.tokens + std::max(0.0, since_s) * rate_.per_s);
}

double TokenBuckets::wait_s(const std::string& key, WebTime now) const {
    const auto found = buckets_.find(key);
    const double there = found == buckets_.end() ? rate_.at_once : tokens(found->second, now);
    return there >= 1.0 ? 0.0 : (1.0 - there) / rate_.per_s;
}

void TokenBuckets::take(const std::string& key, WebTime now) {
    const auto place = buckets_.try_emplace(key, Bucket{rate_.at_once, now}).first;
    place->second = Bucket{tokens(place->second, now) - 1.0, now};
}

void TokenBuckets::forget_full(WebTime now) {
    std::erase_if(buckets_, [&](const auto& entry) { return tokens(entry.second, now) >= rate_.at_once; });
}

}  // namespace isoseam
