/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/error.h"

#include <stdarg.h>

#include "base/number.h"
#include "earshot/version.h"

const char *earshot_status_text(earshot_status status)
{
    switch (status) {
    case EARSHOT_OK: return "ok";
    case EARSHOT_PLAN_SYNTAX: return "the plan has a statement that cannot be read";
    case EARSHOT_PLAN_INVALID: return "the plan says something that cannot be";
    case EARSHOT_PLAN_LIMIT: return "the plan is larger than allowed";
    case EARSHOT_READINGS: return "the readings have a row that cannot be used";
    case EARSHOT_FILE_READ: return "a file cannot be read";
    case EARSHOT_FILE_WRITE: return "a file cannot be written";
    case EARSHOT_ARGUMENT: return "an argument is out of range";
    case EARSHOT_NO_SUCH_NAME: return "there is nothing of that name";
    case EARSHOT_NOT_BUILT_IN: return "this build lacks what that needs";
    case EARSHOT_MEMORY: return "out of memory";
    case EARSHOT_INTERNAL: return "internal fault";
    }
    return "unknown status";
}

earshot_status es_fail(earshot_error *error, earshot_status status, const char *hint, const char *format, ...)
{
    if (!error) return status;
    *error = (earshot_error){.status = status};
    va_list arguments;
    va_start(arguments, format);
    es_vformat(error->message, sizeof error->message, format, arguments);
    va_end(arguments);
    es_format(error->hint, sizeof error->hint, "%s", hint ? hint : "");
    return status;
}

const char *earshot_version(void)
{
    return EARSHOT_VERSION;
}
