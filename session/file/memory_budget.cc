#include "session/file/memory_budget.h"

#include "session/file/wire.h"

namespace proofdrive::session {
namespace {

// An object of a message with its texts, and the plain value made of it.
constexpr std::uint64_t kBytesPerField = 256;

// Fields at the top, and within the header that a footer or the start of a journal has as its
// first field. Nothing else that is repeated lies deeper.
std::uint64_t CountFields(ByteSpan payload, bool look_inside) {
  std::uint64_t count = 0;
  for (WireReader reader(payload); reader.Next();) {
    ++count;
    const bool nested = look_inside && reader.field() == 1 && reader.type() == WireType::kBytes;
    if (nested) {
      count += CountFields(reader.Bytes(), false);
    } else {
      reader.Skip();
    }
  }
  return count;
}

}  // namespace

Status MemoryBudget::Exceed() {
  exceeded_ = true;
  return Status(ErrorKind::kCorrupt, "the session asks for too much memory");
}

Status MemoryBudget::Take(std::uint64_t bytes) {
  if (bytes > left_) return Exceed();
  left_ -= bytes;
  return Status::Ok();
}

Status MemoryBudget::CheckRecord(ByteSpan payload) {
  const std::uint64_t needed = payload.size() + kBytesPerField * CountFields(payload, true);
  return needed <= left_ ? Status::Ok() : Exceed();
}

}  // namespace proofdrive::session
