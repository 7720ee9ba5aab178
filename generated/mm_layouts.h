/* SPDX-License-Identifier: MIT */
/* The layouts built together, by id. Made by matrixmap 0.1.0. */
#ifndef MM_LAYOUTS_H
#define MM_LAYOUTS_H

#include "mm_index.h"
#include "quillon8-de-DE-positional.h"
#include "quillon8-de-DE-symbolic.h"
#include "quillon8-en-GB-symbolic.h"
#include "quillon8-en-US-positional.h"
#include "quillon8-en-US-symbolic.h"
#include "quillon8-fr-FR-symbolic.h"

#define MM_LAYOUTS 6u

#ifdef __cplusplus
extern "C" {
#endif

extern const mm_layout mm_layouts[MM_LAYOUTS];

#ifdef __cplusplus
}
#endif

#endif
