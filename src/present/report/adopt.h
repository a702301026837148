/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a placement decided, as decisions of a check: the sections then need not know where verdicts come from. */
#ifndef ES_ADOPT_H
#define ES_ADOPT_H

#include "earshot/place.h"

/* A copy of a check with the verdicts of a placement's best choice for the same receiver and band; free with
 * es_adopted_clear. EARSHOT_ARGUMENT when it is for another one. */
earshot_status es_adopt(const earshot_check *check, const earshot_placement *placement, earshot_check *adopted);
void es_adopted_clear(earshot_check *adopted);

#endif
