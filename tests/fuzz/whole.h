/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything that `earshot check` and its sisters do with a plan that has been read, and what must hold of it. */
#ifndef FUZZ_WHOLE_H
#define FUZZ_WHOLE_H

#include "earshot/earshot.h"

/* Judges every device in every scene and band (rays: as drawn, in the first), tells of it in every format, and fills a
 * coarse map. */
void judge_whole_plan(const earshot_plan *plan, earshot_model model);

#endif
