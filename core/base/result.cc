#include "core/base/result.h"

#include <cerrno>
#include <cstring>

namespace proofdrive {
namespace {

ErrorKind KindOfErrno(int error_number) {
  switch (error_number) {
    case ENOENT:
    case ENODEV:
    case ENXIO:
      return ErrorKind::kNotFound;
    case EEXIST:
      return ErrorKind::kAlreadyExists;
    case EACCES:
    case EPERM:
    case EROFS:
      return ErrorKind::kPermission;
    case ENOSPC:
    case EDQUOT:
      return ErrorKind::kNoSpace;
    case EFBIG:
      return ErrorKind::kTooLarge;
    case EBUSY:
    case EADDRINUSE:
      return ErrorKind::kBusy;
    case ENETDOWN:
    case ECONNREFUSED:
      return ErrorKind::kUnavailable;
    case EINVAL:
    case ENAMETOOLONG:
    case EISDIR:
    case ENOTDIR:
      return ErrorKind::kInvalidArgument;
    default:
      return ErrorKind::kIo;
  }
}

}  // namespace

std::string_view ErrorKindName(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::kInvalidArgument:
      return "invalid argument";
    case ErrorKind::kNotFound:
      return "not found";
    case ErrorKind::kAlreadyExists:
      return "already exists";
    case ErrorKind::kTruncated:
      return "truncated";
    case ErrorKind::kCorrupt:
      return "corrupt";
    case ErrorKind::kUnsupportedVersion:
      return "unsupported version";
    case ErrorKind::kBusy:
      return "busy";
    case ErrorKind::kNoSpace:
      return "no space";
    case ErrorKind::kTooLarge:
      return "too large";
    case ErrorKind::kPermission:
      return "permission denied";
    case ErrorKind::kUnavailable:
      return "unavailable";
    case ErrorKind::kIo:
      return "input/output error";
    case ErrorKind::kCancelled:
      return "cancelled";
    case ErrorKind::kInternal:
      return "internal error";
  }
  return "unknown error";
}

Status Status::FromErrno(int error_number, std::string_view what) {
  return Status(KindOfErrno(error_number), std::string(what) + ": " + std::strerror(error_number));
}

Status Status::WithContext(std::string_view context) const {
  if (ok_) return *this;
  return Status(kind_, std::string(context) + ": " + message_);
}

}  // namespace proofdrive
