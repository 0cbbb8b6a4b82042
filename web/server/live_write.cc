#include <utility>

#include "web/server/live_connection.h"

namespace proofdrive::web {

void LiveConnection::Offer(const SharedText& introduction, const SharedText& news) {
  if (busy_ || closed_) return;
  const bool introduce = introduction != told_;
  if (introduce) told_ = introduction;
  Write(introduce ? introduction : news);
}

void LiveConnection::Write(SharedText text) {
  busy_ = true;
  const boost::asio::const_buffer bytes = boost::asio::buffer(*text);
  stream_.async_write(
      bytes, [self = shared_from_this(), text = std::move(text)](ErrorCode error, std::size_t) {
        self->busy_ = false;
        if (error) return self->Close();
        self->Moved();
      });
}

}  // namespace proofdrive::web
