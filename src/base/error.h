/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_ERROR_H
#define ES_ERROR_H

#include "earshot/error.h"

/* Fill an error without a place; error may be NULL. Returns status, so that a function can end with it. */
earshot_status es_fail(earshot_error *error, earshot_status status, const char *hint, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

#endif
