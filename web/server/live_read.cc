#include "web/server/live_connection.h"

namespace proofdrive::web {

void LiveConnection::Read() {
  stream_.async_read(buffer_, [self = shared_from_this()](ErrorCode error, std::size_t) {
    self->buffer_.clear();
    if (error) return self->Close();
    self->Read();
  });
}

void LiveConnection::Close() {
  closed_ = true;
  ErrorCode ignored;
  stream_.next_layer().close(ignored);
}

}  // namespace proofdrive::web
