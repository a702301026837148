/* SPDX-License-Identifier: GPL-3.0-or-later */
/* materials.plan, compiled in. */
#ifndef ES_BUILTIN_H
#define ES_BUILTIN_H

extern const unsigned char es_builtin_text[]; /* NUL-ended */
extern const unsigned long es_builtin_size;   /* without the NUL */

#endif
