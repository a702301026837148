/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_MATERIALS_H
#define ES_MATERIALS_H

#include "earshot/present.h"

/* The word of the plan language for how a value is known. */
const char *es_basis_word(earshot_basis basis);

#endif
