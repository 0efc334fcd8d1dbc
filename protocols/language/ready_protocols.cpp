#include "protocols/language/ready_protocols.h"

#include "protocols/language/protocol.h"

namespace isoseam {

std::vector<ReadyProtocol> ready_protocols() {
    return ready_files(
        {"protocols", "ISOSEAM_PROTOCOL_LIBRARY", ISOSEAM_PROTOCOL_LIBRARY, "protocols/library"},
        [](const std::string& path) { return read_protocol(path).title; });
}

}  // namespace isoseam
