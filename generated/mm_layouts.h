/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* The layouts built together, by id. Made by matrixmap 0.1.0. */
#ifndef MM_LAYOUTS_H
#define MM_LAYOUTS_H

#include "mm_index.h"
#include "langet41-de-DE-positional.h"
#include "langet41-de-DE-symbolic.h"
#include "langet41-en-GB-positional.h"
#include "langet41-en-GB-symbolic.h"
#include "langet41-en-US-positional.h"
#include "langet41-en-US-symbolic.h"
#include "langet41-fr-FR-positional.h"
#include "langet41-fr-FR-symbolic.h"
#include "quillon8-bg-BG-symbolic.h"
#include "quillon8-bs-BA-symbolic.h"
#include "quillon8-ca-AD-symbolic.h"
#include "quillon8-cs-CZ-symbolic.h"
#include "quillon8-da-DK-symbolic.h"
#include "quillon8-de-AT-symbolic.h"
#include "quillon8-de-CH-symbolic.h"
#include "quillon8-de-DE-positional.h"
#include "quillon8-de-DE-symbolic.h"
#include "quillon8-de-LI-symbolic.h"
#include "quillon8-el-CY-symbolic.h"
#include "quillon8-el-GR-symbolic.h"
#include "quillon8-en-CA-symbolic.h"
#include "quillon8-en-GB-symbolic.h"
#include "quillon8-en-IE-symbolic.h"
#include "quillon8-en-US-positional.h"
#include "quillon8-en-US-symbolic.h"
#include "quillon8-es-419-symbolic.h"
#include "quillon8-es-ES-symbolic.h"
#include "quillon8-et-EE-symbolic.h"
#include "quillon8-fi-FI-symbolic.h"
#include "quillon8-fo-FO-symbolic.h"
#include "quillon8-fr-BE-symbolic.h"
#include "quillon8-fr-CA-symbolic.h"
#include "quillon8-fr-CH-symbolic.h"
#include "quillon8-fr-FR-symbolic.h"
#include "quillon8-fr-LU-symbolic.h"
#include "quillon8-fr-MC-symbolic.h"
#include "quillon8-he-IL-symbolic.h"
#include "quillon8-hr-HR-symbolic.h"
#include "quillon8-hu-HU-symbolic.h"
#include "quillon8-is-IS-symbolic.h"
#include "quillon8-it-IT-symbolic.h"
#include "quillon8-it-SM-symbolic.h"
#include "quillon8-it-VA-symbolic.h"
#include "quillon8-ja-JP-symbolic.h"
#include "quillon8-ko-KR-symbolic.h"
#include "quillon8-lt-LT-symbolic.h"
#include "quillon8-lv-LV-symbolic.h"
#include "quillon8-mk-MK-symbolic.h"
#include "quillon8-mt-MT-symbolic.h"
#include "quillon8-nb-NO-symbolic.h"
#include "quillon8-nl-BE-symbolic.h"
#include "quillon8-nl-NL-symbolic.h"
#include "quillon8-pl-PL-symbolic.h"
#include "quillon8-pt-BR-symbolic.h"
#include "quillon8-pt-PT-symbolic.h"
#include "quillon8-ro-RO-symbolic.h"
#include "quillon8-ru-RU-symbolic.h"
#include "quillon8-sk-SK-symbolic.h"
#include "quillon8-sl-SI-symbolic.h"
#include "quillon8-sq-AL-symbolic.h"
#include "quillon8-sr-Latn-ME-symbolic.h"
#include "quillon8-sr-Latn-RS-symbolic.h"
#include "quillon8-sr-RS-symbolic.h"
#include "quillon8-sv-FI-symbolic.h"
#include "quillon8-sv-SE-symbolic.h"
#include "quillon8-tr-TR-symbolic.h"
#include "quillon8-uk-UA-symbolic.h"
#include "ricasso12-fo-de-DE-positional.h"
#include "ricasso12-fo-de-DE-symbolic.h"
#include "ricasso12-fo-en-GB-positional.h"
#include "ricasso12-fo-en-GB-symbolic.h"
#include "ricasso12-fo-en-US-positional.h"
#include "ricasso12-fo-en-US-symbolic.h"
#include "ricasso12-fo-fo-FO-positional.h"
#include "ricasso12-fo-fo-FO-symbolic.h"
#include "ricasso12-fo-fr-FR-positional.h"
#include "ricasso12-fo-fr-FR-symbolic.h"

#define MM_LAYOUTS 77u

#ifdef __cplusplus
extern "C" {
#endif

extern const mm_layout mm_layouts[MM_LAYOUTS];

#ifdef __cplusplus
}
#endif

#endif
