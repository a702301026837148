/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One loop for all work that threads share. */
#ifndef ES_SHARE_H
#define ES_SHARE_H

#include "earshot/coverage.h"

/* Do item i of the work; items do not depend on each other. */
typedef earshot_status es_item(void *work, size_t i);

/* Do items 0 to n - 1 with all threads. On failure the status of the first item that fails, which does not depend on
 * the threads; EARSHOT_INTERNAL when the watch stopped it. `watch` may be NULL. */
earshot_status es_share(size_t n, es_item *item, void *work, const earshot_watch *watch);

#endif
