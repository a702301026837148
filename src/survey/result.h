/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_RESULT_H
#define ES_RESULT_H

#include "survey/work.h"

/* What was estimated, as the public struct has it; the solution moves on to the posterior. What was made before a
 * failure belongs to the calibration. */
earshot_status es_result_fill(es_work *w, earshot_calibration *c);

#endif
