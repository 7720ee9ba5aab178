/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* The layouts of this build, in the order of their ids. Made by matrixmap 0.1.0. */
#include "mm_layouts.h"

#if MM_LANGET41_DE_DE_POSITIONAL_BUILT
static const char id_of_mm_langet41_de_DE_positional[] MM_TABLE = "langet41-de-DE-positional";
static const char title_of_mm_langet41_de_DE_positional[] MM_TABLE = "Langet 41, German (Germany), positional";
#endif
#if MM_LANGET41_DE_DE_SYMBOLIC_BUILT
static const char id_of_mm_langet41_de_DE_symbolic[] MM_TABLE = "langet41-de-DE-symbolic";
static const char title_of_mm_langet41_de_DE_symbolic[] MM_TABLE = "Langet 41, German (Germany), symbolic";
#endif
#if MM_LANGET41_EN_GB_POSITIONAL_BUILT
static const char id_of_mm_langet41_en_GB_positional[] MM_TABLE = "langet41-en-GB-positional";
static const char title_of_mm_langet41_en_GB_positional[] MM_TABLE = "Langet 41, English (United Kingdom), positional";
#endif
#if MM_LANGET41_EN_GB_SYMBOLIC_BUILT
static const char id_of_mm_langet41_en_GB_symbolic[] MM_TABLE = "langet41-en-GB-symbolic";
static const char title_of_mm_langet41_en_GB_symbolic[] MM_TABLE = "Langet 41, English (United Kingdom), symbolic";
#endif
#if MM_LANGET41_EN_US_POSITIONAL_BUILT
static const char id_of_mm_langet41_en_US_positional[] MM_TABLE = "langet41-en-US-positional";
static const char title_of_mm_langet41_en_US_positional[] MM_TABLE = "Langet 41, English (United States), positional";
#endif
#if MM_LANGET41_EN_US_SYMBOLIC_BUILT
static const char id_of_mm_langet41_en_US_symbolic[] MM_TABLE = "langet41-en-US-symbolic";
static const char title_of_mm_langet41_en_US_symbolic[] MM_TABLE = "Langet 41, English (United States), symbolic";
#endif
#if MM_LANGET41_FR_FR_POSITIONAL_BUILT
static const char id_of_mm_langet41_fr_FR_positional[] MM_TABLE = "langet41-fr-FR-positional";
static const char title_of_mm_langet41_fr_FR_positional[] MM_TABLE = "Langet 41, French (France), positional";
#endif
#if MM_LANGET41_FR_FR_SYMBOLIC_BUILT
static const char id_of_mm_langet41_fr_FR_symbolic[] MM_TABLE = "langet41-fr-FR-symbolic";
static const char title_of_mm_langet41_fr_FR_symbolic[] MM_TABLE = "Langet 41, French (France), symbolic";
#endif
#if MM_QUILLON8_BG_BG_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_bg_BG_symbolic[] MM_TABLE = "quillon8-bg-BG-symbolic";
static const char title_of_mm_quillon8_bg_BG_symbolic[] MM_TABLE = "Quillon 8, Bulgarian (Bulgaria), symbolic";
#endif
#if MM_QUILLON8_BS_BA_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_bs_BA_symbolic[] MM_TABLE = "quillon8-bs-BA-symbolic";
static const char title_of_mm_quillon8_bs_BA_symbolic[] MM_TABLE = "Quillon 8, Bosnian (Bosnia and Herzegovina), symbolic";
#endif
#if MM_QUILLON8_CA_AD_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_ca_AD_symbolic[] MM_TABLE = "quillon8-ca-AD-symbolic";
static const char title_of_mm_quillon8_ca_AD_symbolic[] MM_TABLE = "Quillon 8, Catalan (Andorra), symbolic";
#endif
#if MM_QUILLON8_CS_CZ_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_cs_CZ_symbolic[] MM_TABLE = "quillon8-cs-CZ-symbolic";
static const char title_of_mm_quillon8_cs_CZ_symbolic[] MM_TABLE = "Quillon 8, Czech (Czechia), symbolic";
#endif
#if MM_QUILLON8_DA_DK_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_da_DK_symbolic[] MM_TABLE = "quillon8-da-DK-symbolic";
static const char title_of_mm_quillon8_da_DK_symbolic[] MM_TABLE = "Quillon 8, Danish (Denmark), symbolic";
#endif
#if MM_QUILLON8_DE_AT_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_de_AT_symbolic[] MM_TABLE = "quillon8-de-AT-symbolic";
static const char title_of_mm_quillon8_de_AT_symbolic[] MM_TABLE = "Quillon 8, German (Austria), symbolic";
#endif
#if MM_QUILLON8_DE_CH_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_de_CH_symbolic[] MM_TABLE = "quillon8-de-CH-symbolic";
static const char title_of_mm_quillon8_de_CH_symbolic[] MM_TABLE = "Quillon 8, German (Switzerland), symbolic";
#endif
#if MM_QUILLON8_DE_DE_POSITIONAL_BUILT
static const char id_of_mm_quillon8_de_DE_positional[] MM_TABLE = "quillon8-de-DE-positional";
static const char title_of_mm_quillon8_de_DE_positional[] MM_TABLE = "Quillon 8, German (Germany), positional";
#endif
#if MM_QUILLON8_DE_DE_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_de_DE_symbolic[] MM_TABLE = "quillon8-de-DE-symbolic";
static const char title_of_mm_quillon8_de_DE_symbolic[] MM_TABLE = "Quillon 8, German (Germany), symbolic";
#endif
#if MM_QUILLON8_DE_LI_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_de_LI_symbolic[] MM_TABLE = "quillon8-de-LI-symbolic";
static const char title_of_mm_quillon8_de_LI_symbolic[] MM_TABLE = "Quillon 8, German (Liechtenstein), symbolic";
#endif
#if MM_QUILLON8_EL_CY_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_el_CY_symbolic[] MM_TABLE = "quillon8-el-CY-symbolic";
static const char title_of_mm_quillon8_el_CY_symbolic[] MM_TABLE = "Quillon 8, Greek (Cyprus), symbolic";
#endif
#if MM_QUILLON8_EL_GR_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_el_GR_symbolic[] MM_TABLE = "quillon8-el-GR-symbolic";
static const char title_of_mm_quillon8_el_GR_symbolic[] MM_TABLE = "Quillon 8, Greek (Greece), symbolic";
#endif
#if MM_QUILLON8_EN_CA_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_en_CA_symbolic[] MM_TABLE = "quillon8-en-CA-symbolic";
static const char title_of_mm_quillon8_en_CA_symbolic[] MM_TABLE = "Quillon 8, English (Canada), symbolic";
#endif
#if MM_QUILLON8_EN_GB_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_en_GB_symbolic[] MM_TABLE = "quillon8-en-GB-symbolic";
static const char title_of_mm_quillon8_en_GB_symbolic[] MM_TABLE = "Quillon 8, English (United Kingdom), symbolic";
#endif
#if MM_QUILLON8_EN_IE_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_en_IE_symbolic[] MM_TABLE = "quillon8-en-IE-symbolic";
static const char title_of_mm_quillon8_en_IE_symbolic[] MM_TABLE = "Quillon 8, English (Ireland), symbolic";
#endif
#if MM_QUILLON8_EN_US_POSITIONAL_BUILT
static const char id_of_mm_quillon8_en_US_positional[] MM_TABLE = "quillon8-en-US-positional";
static const char title_of_mm_quillon8_en_US_positional[] MM_TABLE = "Quillon 8, English (United States), positional";
#endif
#if MM_QUILLON8_EN_US_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_en_US_symbolic[] MM_TABLE = "quillon8-en-US-symbolic";
static const char title_of_mm_quillon8_en_US_symbolic[] MM_TABLE = "Quillon 8, English (United States), symbolic";
#endif
#if MM_QUILLON8_ES_419_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_es_419_symbolic[] MM_TABLE = "quillon8-es-419-symbolic";
static const char title_of_mm_quillon8_es_419_symbolic[] MM_TABLE = "Quillon 8, Spanish (Latin America), symbolic";
#endif
#if MM_QUILLON8_ES_ES_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_es_ES_symbolic[] MM_TABLE = "quillon8-es-ES-symbolic";
static const char title_of_mm_quillon8_es_ES_symbolic[] MM_TABLE = "Quillon 8, Spanish (Spain), symbolic";
#endif
#if MM_QUILLON8_ET_EE_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_et_EE_symbolic[] MM_TABLE = "quillon8-et-EE-symbolic";
static const char title_of_mm_quillon8_et_EE_symbolic[] MM_TABLE = "Quillon 8, Estonian (Estonia), symbolic";
#endif
#if MM_QUILLON8_FI_FI_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fi_FI_symbolic[] MM_TABLE = "quillon8-fi-FI-symbolic";
static const char title_of_mm_quillon8_fi_FI_symbolic[] MM_TABLE = "Quillon 8, Finnish (Finland), symbolic";
#endif
#if MM_QUILLON8_FO_FO_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fo_FO_symbolic[] MM_TABLE = "quillon8-fo-FO-symbolic";
static const char title_of_mm_quillon8_fo_FO_symbolic[] MM_TABLE = "Quillon 8, Faroese (Faroe Islands), symbolic";
#endif
#if MM_QUILLON8_FR_BE_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fr_BE_symbolic[] MM_TABLE = "quillon8-fr-BE-symbolic";
static const char title_of_mm_quillon8_fr_BE_symbolic[] MM_TABLE = "Quillon 8, French (Belgium), symbolic";
#endif
#if MM_QUILLON8_FR_CA_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fr_CA_symbolic[] MM_TABLE = "quillon8-fr-CA-symbolic";
static const char title_of_mm_quillon8_fr_CA_symbolic[] MM_TABLE = "Quillon 8, French (Canada), symbolic";
#endif
#if MM_QUILLON8_FR_CH_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fr_CH_symbolic[] MM_TABLE = "quillon8-fr-CH-symbolic";
static const char title_of_mm_quillon8_fr_CH_symbolic[] MM_TABLE = "Quillon 8, French (Switzerland), symbolic";
#endif
#if MM_QUILLON8_FR_FR_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fr_FR_symbolic[] MM_TABLE = "quillon8-fr-FR-symbolic";
static const char title_of_mm_quillon8_fr_FR_symbolic[] MM_TABLE = "Quillon 8, French (France), symbolic";
#endif
#if MM_QUILLON8_FR_LU_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fr_LU_symbolic[] MM_TABLE = "quillon8-fr-LU-symbolic";
static const char title_of_mm_quillon8_fr_LU_symbolic[] MM_TABLE = "Quillon 8, French (Luxembourg), symbolic";
#endif
#if MM_QUILLON8_FR_MC_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_fr_MC_symbolic[] MM_TABLE = "quillon8-fr-MC-symbolic";
static const char title_of_mm_quillon8_fr_MC_symbolic[] MM_TABLE = "Quillon 8, French (Monaco), symbolic";
#endif
#if MM_QUILLON8_HE_IL_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_he_IL_symbolic[] MM_TABLE = "quillon8-he-IL-symbolic";
static const char title_of_mm_quillon8_he_IL_symbolic[] MM_TABLE = "Quillon 8, Hebrew (Israel), symbolic";
#endif
#if MM_QUILLON8_HR_HR_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_hr_HR_symbolic[] MM_TABLE = "quillon8-hr-HR-symbolic";
static const char title_of_mm_quillon8_hr_HR_symbolic[] MM_TABLE = "Quillon 8, Croatian (Croatia), symbolic";
#endif
#if MM_QUILLON8_HU_HU_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_hu_HU_symbolic[] MM_TABLE = "quillon8-hu-HU-symbolic";
static const char title_of_mm_quillon8_hu_HU_symbolic[] MM_TABLE = "Quillon 8, Hungarian (Hungary), symbolic";
#endif
#if MM_QUILLON8_IS_IS_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_is_IS_symbolic[] MM_TABLE = "quillon8-is-IS-symbolic";
static const char title_of_mm_quillon8_is_IS_symbolic[] MM_TABLE = "Quillon 8, Icelandic (Iceland), symbolic";
#endif
#if MM_QUILLON8_IT_IT_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_it_IT_symbolic[] MM_TABLE = "quillon8-it-IT-symbolic";
static const char title_of_mm_quillon8_it_IT_symbolic[] MM_TABLE = "Quillon 8, Italian (Italy), symbolic";
#endif
#if MM_QUILLON8_IT_SM_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_it_SM_symbolic[] MM_TABLE = "quillon8-it-SM-symbolic";
static const char title_of_mm_quillon8_it_SM_symbolic[] MM_TABLE = "Quillon 8, Italian (San Marino), symbolic";
#endif
#if MM_QUILLON8_IT_VA_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_it_VA_symbolic[] MM_TABLE = "quillon8-it-VA-symbolic";
static const char title_of_mm_quillon8_it_VA_symbolic[] MM_TABLE = "Quillon 8, Italian (Vatican City), symbolic";
#endif
#if MM_QUILLON8_JA_JP_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_ja_JP_symbolic[] MM_TABLE = "quillon8-ja-JP-symbolic";
static const char title_of_mm_quillon8_ja_JP_symbolic[] MM_TABLE = "Quillon 8, Japanese (Japan), symbolic";
#endif
#if MM_QUILLON8_KO_KR_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_ko_KR_symbolic[] MM_TABLE = "quillon8-ko-KR-symbolic";
static const char title_of_mm_quillon8_ko_KR_symbolic[] MM_TABLE = "Quillon 8, Korean (Korea), symbolic";
#endif
#if MM_QUILLON8_LT_LT_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_lt_LT_symbolic[] MM_TABLE = "quillon8-lt-LT-symbolic";
static const char title_of_mm_quillon8_lt_LT_symbolic[] MM_TABLE = "Quillon 8, Lithuanian (Lithuania), symbolic";
#endif
#if MM_QUILLON8_LV_LV_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_lv_LV_symbolic[] MM_TABLE = "quillon8-lv-LV-symbolic";
static const char title_of_mm_quillon8_lv_LV_symbolic[] MM_TABLE = "Quillon 8, Latvian (Latvia), symbolic";
#endif
#if MM_QUILLON8_MK_MK_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_mk_MK_symbolic[] MM_TABLE = "quillon8-mk-MK-symbolic";
static const char title_of_mm_quillon8_mk_MK_symbolic[] MM_TABLE = "Quillon 8, Macedonian (North Macedonia), symbolic";
#endif
#if MM_QUILLON8_MT_MT_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_mt_MT_symbolic[] MM_TABLE = "quillon8-mt-MT-symbolic";
static const char title_of_mm_quillon8_mt_MT_symbolic[] MM_TABLE = "Quillon 8, Maltese (Malta), symbolic";
#endif
#if MM_QUILLON8_NB_NO_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_nb_NO_symbolic[] MM_TABLE = "quillon8-nb-NO-symbolic";
static const char title_of_mm_quillon8_nb_NO_symbolic[] MM_TABLE = "Quillon 8, Norwegian (Norway), symbolic";
#endif
#if MM_QUILLON8_NL_BE_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_nl_BE_symbolic[] MM_TABLE = "quillon8-nl-BE-symbolic";
static const char title_of_mm_quillon8_nl_BE_symbolic[] MM_TABLE = "Quillon 8, Dutch (Belgium), symbolic";
#endif
#if MM_QUILLON8_NL_NL_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_nl_NL_symbolic[] MM_TABLE = "quillon8-nl-NL-symbolic";
static const char title_of_mm_quillon8_nl_NL_symbolic[] MM_TABLE = "Quillon 8, Dutch (Netherlands), symbolic";
#endif
#if MM_QUILLON8_PL_PL_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_pl_PL_symbolic[] MM_TABLE = "quillon8-pl-PL-symbolic";
static const char title_of_mm_quillon8_pl_PL_symbolic[] MM_TABLE = "Quillon 8, Polish (Poland), symbolic";
#endif
#if MM_QUILLON8_PT_BR_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_pt_BR_symbolic[] MM_TABLE = "quillon8-pt-BR-symbolic";
static const char title_of_mm_quillon8_pt_BR_symbolic[] MM_TABLE = "Quillon 8, Portuguese (Brazil), symbolic";
#endif
#if MM_QUILLON8_PT_PT_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_pt_PT_symbolic[] MM_TABLE = "quillon8-pt-PT-symbolic";
static const char title_of_mm_quillon8_pt_PT_symbolic[] MM_TABLE = "Quillon 8, Portuguese (Portugal), symbolic";
#endif
#if MM_QUILLON8_RO_RO_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_ro_RO_symbolic[] MM_TABLE = "quillon8-ro-RO-symbolic";
static const char title_of_mm_quillon8_ro_RO_symbolic[] MM_TABLE = "Quillon 8, Romanian (Romania), symbolic";
#endif
#if MM_QUILLON8_RU_RU_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_ru_RU_symbolic[] MM_TABLE = "quillon8-ru-RU-symbolic";
static const char title_of_mm_quillon8_ru_RU_symbolic[] MM_TABLE = "Quillon 8, Russian (Russia), symbolic";
#endif
#if MM_QUILLON8_SK_SK_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sk_SK_symbolic[] MM_TABLE = "quillon8-sk-SK-symbolic";
static const char title_of_mm_quillon8_sk_SK_symbolic[] MM_TABLE = "Quillon 8, Slovak (Slovakia), symbolic";
#endif
#if MM_QUILLON8_SL_SI_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sl_SI_symbolic[] MM_TABLE = "quillon8-sl-SI-symbolic";
static const char title_of_mm_quillon8_sl_SI_symbolic[] MM_TABLE = "Quillon 8, Slovenian (Slovenia), symbolic";
#endif
#if MM_QUILLON8_SQ_AL_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sq_AL_symbolic[] MM_TABLE = "quillon8-sq-AL-symbolic";
static const char title_of_mm_quillon8_sq_AL_symbolic[] MM_TABLE = "Quillon 8, Albanian (Albania), symbolic";
#endif
#if MM_QUILLON8_SR_LATN_ME_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sr_Latn_ME_symbolic[] MM_TABLE = "quillon8-sr-Latn-ME-symbolic";
static const char title_of_mm_quillon8_sr_Latn_ME_symbolic[] MM_TABLE = "Quillon 8, Montenegrin (Montenegro), symbolic";
#endif
#if MM_QUILLON8_SR_LATN_RS_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sr_Latn_RS_symbolic[] MM_TABLE = "quillon8-sr-Latn-RS-symbolic";
static const char title_of_mm_quillon8_sr_Latn_RS_symbolic[] MM_TABLE = "Quillon 8, Serbian, Latin (Serbia), symbolic";
#endif
#if MM_QUILLON8_SR_RS_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sr_RS_symbolic[] MM_TABLE = "quillon8-sr-RS-symbolic";
static const char title_of_mm_quillon8_sr_RS_symbolic[] MM_TABLE = "Quillon 8, Serbian, Cyrillic (Serbia), symbolic";
#endif
#if MM_QUILLON8_SV_FI_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sv_FI_symbolic[] MM_TABLE = "quillon8-sv-FI-symbolic";
static const char title_of_mm_quillon8_sv_FI_symbolic[] MM_TABLE = "Quillon 8, Swedish (Finland), symbolic";
#endif
#if MM_QUILLON8_SV_SE_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_sv_SE_symbolic[] MM_TABLE = "quillon8-sv-SE-symbolic";
static const char title_of_mm_quillon8_sv_SE_symbolic[] MM_TABLE = "Quillon 8, Swedish (Sweden), symbolic";
#endif
#if MM_QUILLON8_TR_TR_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_tr_TR_symbolic[] MM_TABLE = "quillon8-tr-TR-symbolic";
static const char title_of_mm_quillon8_tr_TR_symbolic[] MM_TABLE = "Quillon 8, Turkish (T\303\274rkiye), symbolic";
#endif
#if MM_QUILLON8_UK_UA_SYMBOLIC_BUILT
static const char id_of_mm_quillon8_uk_UA_symbolic[] MM_TABLE = "quillon8-uk-UA-symbolic";
static const char title_of_mm_quillon8_uk_UA_symbolic[] MM_TABLE = "Quillon 8, Ukrainian (Ukraine), symbolic";
#endif
#if MM_RICASSO12_FO_DE_DE_POSITIONAL_BUILT
static const char id_of_mm_ricasso12_fo_de_DE_positional[] MM_TABLE = "ricasso12-fo-de-DE-positional";
static const char title_of_mm_ricasso12_fo_de_DE_positional[] MM_TABLE = "Ricasso 12, Faroese, German (Germany), positional";
#endif
#if MM_RICASSO12_FO_DE_DE_SYMBOLIC_BUILT
static const char id_of_mm_ricasso12_fo_de_DE_symbolic[] MM_TABLE = "ricasso12-fo-de-DE-symbolic";
static const char title_of_mm_ricasso12_fo_de_DE_symbolic[] MM_TABLE = "Ricasso 12, Faroese, German (Germany), symbolic";
#endif
#if MM_RICASSO12_FO_EN_GB_POSITIONAL_BUILT
static const char id_of_mm_ricasso12_fo_en_GB_positional[] MM_TABLE = "ricasso12-fo-en-GB-positional";
static const char title_of_mm_ricasso12_fo_en_GB_positional[] MM_TABLE = "Ricasso 12, Faroese, English (United Kingdom), positional";
#endif
#if MM_RICASSO12_FO_EN_GB_SYMBOLIC_BUILT
static const char id_of_mm_ricasso12_fo_en_GB_symbolic[] MM_TABLE = "ricasso12-fo-en-GB-symbolic";
static const char title_of_mm_ricasso12_fo_en_GB_symbolic[] MM_TABLE = "Ricasso 12, Faroese, English (United Kingdom), symbolic";
#endif
#if MM_RICASSO12_FO_EN_US_POSITIONAL_BUILT
static const char id_of_mm_ricasso12_fo_en_US_positional[] MM_TABLE = "ricasso12-fo-en-US-positional";
static const char title_of_mm_ricasso12_fo_en_US_positional[] MM_TABLE = "Ricasso 12, Faroese, English (United States), positional";
#endif
#if MM_RICASSO12_FO_EN_US_SYMBOLIC_BUILT
static const char id_of_mm_ricasso12_fo_en_US_symbolic[] MM_TABLE = "ricasso12-fo-en-US-symbolic";
static const char title_of_mm_ricasso12_fo_en_US_symbolic[] MM_TABLE = "Ricasso 12, Faroese, English (United States), symbolic";
#endif
#if MM_RICASSO12_FO_FO_FO_POSITIONAL_BUILT
static const char id_of_mm_ricasso12_fo_fo_FO_positional[] MM_TABLE = "ricasso12-fo-fo-FO-positional";
static const char title_of_mm_ricasso12_fo_fo_FO_positional[] MM_TABLE = "Ricasso 12, Faroese, Faroese (Faroe Islands), positional";
#endif
#if MM_RICASSO12_FO_FO_FO_SYMBOLIC_BUILT
static const char id_of_mm_ricasso12_fo_fo_FO_symbolic[] MM_TABLE = "ricasso12-fo-fo-FO-symbolic";
static const char title_of_mm_ricasso12_fo_fo_FO_symbolic[] MM_TABLE = "Ricasso 12, Faroese, Faroese (Faroe Islands), symbolic";
#endif
#if MM_RICASSO12_FO_FR_FR_POSITIONAL_BUILT
static const char id_of_mm_ricasso12_fo_fr_FR_positional[] MM_TABLE = "ricasso12-fo-fr-FR-positional";
static const char title_of_mm_ricasso12_fo_fr_FR_positional[] MM_TABLE = "Ricasso 12, Faroese, French (France), positional";
#endif
#if MM_RICASSO12_FO_FR_FR_SYMBOLIC_BUILT
static const char id_of_mm_ricasso12_fo_fr_FR_symbolic[] MM_TABLE = "ricasso12-fo-fr-FR-symbolic";
static const char title_of_mm_ricasso12_fo_fr_FR_symbolic[] MM_TABLE = "Ricasso 12, Faroese, French (France), symbolic";
#endif

const mm_layout mm_layouts[MM_LAYOUTS] MM_TABLE = {
#if MM_LANGET41_DE_DE_POSITIONAL_BUILT
    {id_of_mm_langet41_de_DE_positional, title_of_mm_langet41_de_DE_positional, mm_langet41_de_DE_positional, MM_LANGET41_DE_DE_POSITIONAL_SIZE, MM_LANGET41_DE_DE_POSITIONAL_ID16}, /* Langet 41, German (Germany), positional */
#endif
#if MM_LANGET41_DE_DE_SYMBOLIC_BUILT
    {id_of_mm_langet41_de_DE_symbolic, title_of_mm_langet41_de_DE_symbolic, mm_langet41_de_DE_symbolic, MM_LANGET41_DE_DE_SYMBOLIC_SIZE, MM_LANGET41_DE_DE_SYMBOLIC_ID16}, /* Langet 41, German (Germany), symbolic */
#endif
#if MM_LANGET41_EN_GB_POSITIONAL_BUILT
    {id_of_mm_langet41_en_GB_positional, title_of_mm_langet41_en_GB_positional, mm_langet41_en_GB_positional, MM_LANGET41_EN_GB_POSITIONAL_SIZE, MM_LANGET41_EN_GB_POSITIONAL_ID16}, /* Langet 41, English (United Kingdom), positional */
#endif
#if MM_LANGET41_EN_GB_SYMBOLIC_BUILT
    {id_of_mm_langet41_en_GB_symbolic, title_of_mm_langet41_en_GB_symbolic, mm_langet41_en_GB_symbolic, MM_LANGET41_EN_GB_SYMBOLIC_SIZE, MM_LANGET41_EN_GB_SYMBOLIC_ID16}, /* Langet 41, English (United Kingdom), symbolic */
#endif
#if MM_LANGET41_EN_US_POSITIONAL_BUILT
    {id_of_mm_langet41_en_US_positional, title_of_mm_langet41_en_US_positional, mm_langet41_en_US_positional, MM_LANGET41_EN_US_POSITIONAL_SIZE, MM_LANGET41_EN_US_POSITIONAL_ID16}, /* Langet 41, English (United States), positional */
#endif
#if MM_LANGET41_EN_US_SYMBOLIC_BUILT
    {id_of_mm_langet41_en_US_symbolic, title_of_mm_langet41_en_US_symbolic, mm_langet41_en_US_symbolic, MM_LANGET41_EN_US_SYMBOLIC_SIZE, MM_LANGET41_EN_US_SYMBOLIC_ID16}, /* Langet 41, English (United States), symbolic */
#endif
#if MM_LANGET41_FR_FR_POSITIONAL_BUILT
    {id_of_mm_langet41_fr_FR_positional, title_of_mm_langet41_fr_FR_positional, mm_langet41_fr_FR_positional, MM_LANGET41_FR_FR_POSITIONAL_SIZE, MM_LANGET41_FR_FR_POSITIONAL_ID16}, /* Langet 41, French (France), positional */
#endif
#if MM_LANGET41_FR_FR_SYMBOLIC_BUILT
    {id_of_mm_langet41_fr_FR_symbolic, title_of_mm_langet41_fr_FR_symbolic, mm_langet41_fr_FR_symbolic, MM_LANGET41_FR_FR_SYMBOLIC_SIZE, MM_LANGET41_FR_FR_SYMBOLIC_ID16}, /* Langet 41, French (France), symbolic */
#endif
#if MM_QUILLON8_BG_BG_SYMBOLIC_BUILT
    {id_of_mm_quillon8_bg_BG_symbolic, title_of_mm_quillon8_bg_BG_symbolic, mm_quillon8_bg_BG_symbolic, MM_QUILLON8_BG_BG_SYMBOLIC_SIZE, MM_QUILLON8_BG_BG_SYMBOLIC_ID16}, /* Quillon 8, Bulgarian (Bulgaria), symbolic */
#endif
#if MM_QUILLON8_BS_BA_SYMBOLIC_BUILT
    {id_of_mm_quillon8_bs_BA_symbolic, title_of_mm_quillon8_bs_BA_symbolic, mm_quillon8_bs_BA_symbolic, MM_QUILLON8_BS_BA_SYMBOLIC_SIZE, MM_QUILLON8_BS_BA_SYMBOLIC_ID16}, /* Quillon 8, Bosnian (Bosnia and Herzegovina), symbolic */
#endif
#if MM_QUILLON8_CA_AD_SYMBOLIC_BUILT
    {id_of_mm_quillon8_ca_AD_symbolic, title_of_mm_quillon8_ca_AD_symbolic, mm_quillon8_ca_AD_symbolic, MM_QUILLON8_CA_AD_SYMBOLIC_SIZE, MM_QUILLON8_CA_AD_SYMBOLIC_ID16}, /* Quillon 8, Catalan (Andorra), symbolic */
#endif
#if MM_QUILLON8_CS_CZ_SYMBOLIC_BUILT
    {id_of_mm_quillon8_cs_CZ_symbolic, title_of_mm_quillon8_cs_CZ_symbolic, mm_quillon8_cs_CZ_symbolic, MM_QUILLON8_CS_CZ_SYMBOLIC_SIZE, MM_QUILLON8_CS_CZ_SYMBOLIC_ID16}, /* Quillon 8, Czech (Czechia), symbolic */
#endif
#if MM_QUILLON8_DA_DK_SYMBOLIC_BUILT
    {id_of_mm_quillon8_da_DK_symbolic, title_of_mm_quillon8_da_DK_symbolic, mm_quillon8_da_DK_symbolic, MM_QUILLON8_DA_DK_SYMBOLIC_SIZE, MM_QUILLON8_DA_DK_SYMBOLIC_ID16}, /* Quillon 8, Danish (Denmark), symbolic */
#endif
#if MM_QUILLON8_DE_AT_SYMBOLIC_BUILT
    {id_of_mm_quillon8_de_AT_symbolic, title_of_mm_quillon8_de_AT_symbolic, mm_quillon8_de_AT_symbolic, MM_QUILLON8_DE_AT_SYMBOLIC_SIZE, MM_QUILLON8_DE_AT_SYMBOLIC_ID16}, /* Quillon 8, German (Austria), symbolic */
#endif
#if MM_QUILLON8_DE_CH_SYMBOLIC_BUILT
    {id_of_mm_quillon8_de_CH_symbolic, title_of_mm_quillon8_de_CH_symbolic, mm_quillon8_de_CH_symbolic, MM_QUILLON8_DE_CH_SYMBOLIC_SIZE, MM_QUILLON8_DE_CH_SYMBOLIC_ID16}, /* Quillon 8, German (Switzerland), symbolic */
#endif
#if MM_QUILLON8_DE_DE_POSITIONAL_BUILT
    {id_of_mm_quillon8_de_DE_positional, title_of_mm_quillon8_de_DE_positional, mm_quillon8_de_DE_positional, MM_QUILLON8_DE_DE_POSITIONAL_SIZE, MM_QUILLON8_DE_DE_POSITIONAL_ID16}, /* Quillon 8, German (Germany), positional */
#endif
#if MM_QUILLON8_DE_DE_SYMBOLIC_BUILT
    {id_of_mm_quillon8_de_DE_symbolic, title_of_mm_quillon8_de_DE_symbolic, mm_quillon8_de_DE_symbolic, MM_QUILLON8_DE_DE_SYMBOLIC_SIZE, MM_QUILLON8_DE_DE_SYMBOLIC_ID16}, /* Quillon 8, German (Germany), symbolic */
#endif
#if MM_QUILLON8_DE_LI_SYMBOLIC_BUILT
    {id_of_mm_quillon8_de_LI_symbolic, title_of_mm_quillon8_de_LI_symbolic, mm_quillon8_de_LI_symbolic, MM_QUILLON8_DE_LI_SYMBOLIC_SIZE, MM_QUILLON8_DE_LI_SYMBOLIC_ID16}, /* Quillon 8, German (Liechtenstein), symbolic */
#endif
#if MM_QUILLON8_EL_CY_SYMBOLIC_BUILT
    {id_of_mm_quillon8_el_CY_symbolic, title_of_mm_quillon8_el_CY_symbolic, mm_quillon8_el_CY_symbolic, MM_QUILLON8_EL_CY_SYMBOLIC_SIZE, MM_QUILLON8_EL_CY_SYMBOLIC_ID16}, /* Quillon 8, Greek (Cyprus), symbolic */
#endif
#if MM_QUILLON8_EL_GR_SYMBOLIC_BUILT
    {id_of_mm_quillon8_el_GR_symbolic, title_of_mm_quillon8_el_GR_symbolic, mm_quillon8_el_GR_symbolic, MM_QUILLON8_EL_GR_SYMBOLIC_SIZE, MM_QUILLON8_EL_GR_SYMBOLIC_ID16}, /* Quillon 8, Greek (Greece), symbolic */
#endif
#if MM_QUILLON8_EN_CA_SYMBOLIC_BUILT
    {id_of_mm_quillon8_en_CA_symbolic, title_of_mm_quillon8_en_CA_symbolic, mm_quillon8_en_CA_symbolic, MM_QUILLON8_EN_CA_SYMBOLIC_SIZE, MM_QUILLON8_EN_CA_SYMBOLIC_ID16}, /* Quillon 8, English (Canada), symbolic */
#endif
#if MM_QUILLON8_EN_GB_SYMBOLIC_BUILT
    {id_of_mm_quillon8_en_GB_symbolic, title_of_mm_quillon8_en_GB_symbolic, mm_quillon8_en_GB_symbolic, MM_QUILLON8_EN_GB_SYMBOLIC_SIZE, MM_QUILLON8_EN_GB_SYMBOLIC_ID16}, /* Quillon 8, English (United Kingdom), symbolic */
#endif
#if MM_QUILLON8_EN_IE_SYMBOLIC_BUILT
    {id_of_mm_quillon8_en_IE_symbolic, title_of_mm_quillon8_en_IE_symbolic, mm_quillon8_en_IE_symbolic, MM_QUILLON8_EN_IE_SYMBOLIC_SIZE, MM_QUILLON8_EN_IE_SYMBOLIC_ID16}, /* Quillon 8, English (Ireland), symbolic */
#endif
#if MM_QUILLON8_EN_US_POSITIONAL_BUILT
    {id_of_mm_quillon8_en_US_positional, title_of_mm_quillon8_en_US_positional, mm_quillon8_en_US_positional, MM_QUILLON8_EN_US_POSITIONAL_SIZE, MM_QUILLON8_EN_US_POSITIONAL_ID16}, /* Quillon 8, English (United States), positional */
#endif
#if MM_QUILLON8_EN_US_SYMBOLIC_BUILT
    {id_of_mm_quillon8_en_US_symbolic, title_of_mm_quillon8_en_US_symbolic, mm_quillon8_en_US_symbolic, MM_QUILLON8_EN_US_SYMBOLIC_SIZE, MM_QUILLON8_EN_US_SYMBOLIC_ID16}, /* Quillon 8, English (United States), symbolic */
#endif
#if MM_QUILLON8_ES_419_SYMBOLIC_BUILT
    {id_of_mm_quillon8_es_419_symbolic, title_of_mm_quillon8_es_419_symbolic, mm_quillon8_es_419_symbolic, MM_QUILLON8_ES_419_SYMBOLIC_SIZE, MM_QUILLON8_ES_419_SYMBOLIC_ID16}, /* Quillon 8, Spanish (Latin America), symbolic */
#endif
#if MM_QUILLON8_ES_ES_SYMBOLIC_BUILT
    {id_of_mm_quillon8_es_ES_symbolic, title_of_mm_quillon8_es_ES_symbolic, mm_quillon8_es_ES_symbolic, MM_QUILLON8_ES_ES_SYMBOLIC_SIZE, MM_QUILLON8_ES_ES_SYMBOLIC_ID16}, /* Quillon 8, Spanish (Spain), symbolic */
#endif
#if MM_QUILLON8_ET_EE_SYMBOLIC_BUILT
    {id_of_mm_quillon8_et_EE_symbolic, title_of_mm_quillon8_et_EE_symbolic, mm_quillon8_et_EE_symbolic, MM_QUILLON8_ET_EE_SYMBOLIC_SIZE, MM_QUILLON8_ET_EE_SYMBOLIC_ID16}, /* Quillon 8, Estonian (Estonia), symbolic */
#endif
#if MM_QUILLON8_FI_FI_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fi_FI_symbolic, title_of_mm_quillon8_fi_FI_symbolic, mm_quillon8_fi_FI_symbolic, MM_QUILLON8_FI_FI_SYMBOLIC_SIZE, MM_QUILLON8_FI_FI_SYMBOLIC_ID16}, /* Quillon 8, Finnish (Finland), symbolic */
#endif
#if MM_QUILLON8_FO_FO_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fo_FO_symbolic, title_of_mm_quillon8_fo_FO_symbolic, mm_quillon8_fo_FO_symbolic, MM_QUILLON8_FO_FO_SYMBOLIC_SIZE, MM_QUILLON8_FO_FO_SYMBOLIC_ID16}, /* Quillon 8, Faroese (Faroe Islands), symbolic */
#endif
#if MM_QUILLON8_FR_BE_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fr_BE_symbolic, title_of_mm_quillon8_fr_BE_symbolic, mm_quillon8_fr_BE_symbolic, MM_QUILLON8_FR_BE_SYMBOLIC_SIZE, MM_QUILLON8_FR_BE_SYMBOLIC_ID16}, /* Quillon 8, French (Belgium), symbolic */
#endif
#if MM_QUILLON8_FR_CA_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fr_CA_symbolic, title_of_mm_quillon8_fr_CA_symbolic, mm_quillon8_fr_CA_symbolic, MM_QUILLON8_FR_CA_SYMBOLIC_SIZE, MM_QUILLON8_FR_CA_SYMBOLIC_ID16}, /* Quillon 8, French (Canada), symbolic */
#endif
#if MM_QUILLON8_FR_CH_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fr_CH_symbolic, title_of_mm_quillon8_fr_CH_symbolic, mm_quillon8_fr_CH_symbolic, MM_QUILLON8_FR_CH_SYMBOLIC_SIZE, MM_QUILLON8_FR_CH_SYMBOLIC_ID16}, /* Quillon 8, French (Switzerland), symbolic */
#endif
#if MM_QUILLON8_FR_FR_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fr_FR_symbolic, title_of_mm_quillon8_fr_FR_symbolic, mm_quillon8_fr_FR_symbolic, MM_QUILLON8_FR_FR_SYMBOLIC_SIZE, MM_QUILLON8_FR_FR_SYMBOLIC_ID16}, /* Quillon 8, French (France), symbolic */
#endif
#if MM_QUILLON8_FR_LU_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fr_LU_symbolic, title_of_mm_quillon8_fr_LU_symbolic, mm_quillon8_fr_LU_symbolic, MM_QUILLON8_FR_LU_SYMBOLIC_SIZE, MM_QUILLON8_FR_LU_SYMBOLIC_ID16}, /* Quillon 8, French (Luxembourg), symbolic */
#endif
#if MM_QUILLON8_FR_MC_SYMBOLIC_BUILT
    {id_of_mm_quillon8_fr_MC_symbolic, title_of_mm_quillon8_fr_MC_symbolic, mm_quillon8_fr_MC_symbolic, MM_QUILLON8_FR_MC_SYMBOLIC_SIZE, MM_QUILLON8_FR_MC_SYMBOLIC_ID16}, /* Quillon 8, French (Monaco), symbolic */
#endif
#if MM_QUILLON8_HE_IL_SYMBOLIC_BUILT
    {id_of_mm_quillon8_he_IL_symbolic, title_of_mm_quillon8_he_IL_symbolic, mm_quillon8_he_IL_symbolic, MM_QUILLON8_HE_IL_SYMBOLIC_SIZE, MM_QUILLON8_HE_IL_SYMBOLIC_ID16}, /* Quillon 8, Hebrew (Israel), symbolic */
#endif
#if MM_QUILLON8_HR_HR_SYMBOLIC_BUILT
    {id_of_mm_quillon8_hr_HR_symbolic, title_of_mm_quillon8_hr_HR_symbolic, mm_quillon8_hr_HR_symbolic, MM_QUILLON8_HR_HR_SYMBOLIC_SIZE, MM_QUILLON8_HR_HR_SYMBOLIC_ID16}, /* Quillon 8, Croatian (Croatia), symbolic */
#endif
#if MM_QUILLON8_HU_HU_SYMBOLIC_BUILT
    {id_of_mm_quillon8_hu_HU_symbolic, title_of_mm_quillon8_hu_HU_symbolic, mm_quillon8_hu_HU_symbolic, MM_QUILLON8_HU_HU_SYMBOLIC_SIZE, MM_QUILLON8_HU_HU_SYMBOLIC_ID16}, /* Quillon 8, Hungarian (Hungary), symbolic */
#endif
#if MM_QUILLON8_IS_IS_SYMBOLIC_BUILT
    {id_of_mm_quillon8_is_IS_symbolic, title_of_mm_quillon8_is_IS_symbolic, mm_quillon8_is_IS_symbolic, MM_QUILLON8_IS_IS_SYMBOLIC_SIZE, MM_QUILLON8_IS_IS_SYMBOLIC_ID16}, /* Quillon 8, Icelandic (Iceland), symbolic */
#endif
#if MM_QUILLON8_IT_IT_SYMBOLIC_BUILT
    {id_of_mm_quillon8_it_IT_symbolic, title_of_mm_quillon8_it_IT_symbolic, mm_quillon8_it_IT_symbolic, MM_QUILLON8_IT_IT_SYMBOLIC_SIZE, MM_QUILLON8_IT_IT_SYMBOLIC_ID16}, /* Quillon 8, Italian (Italy), symbolic */
#endif
#if MM_QUILLON8_IT_SM_SYMBOLIC_BUILT
    {id_of_mm_quillon8_it_SM_symbolic, title_of_mm_quillon8_it_SM_symbolic, mm_quillon8_it_SM_symbolic, MM_QUILLON8_IT_SM_SYMBOLIC_SIZE, MM_QUILLON8_IT_SM_SYMBOLIC_ID16}, /* Quillon 8, Italian (San Marino), symbolic */
#endif
#if MM_QUILLON8_IT_VA_SYMBOLIC_BUILT
    {id_of_mm_quillon8_it_VA_symbolic, title_of_mm_quillon8_it_VA_symbolic, mm_quillon8_it_VA_symbolic, MM_QUILLON8_IT_VA_SYMBOLIC_SIZE, MM_QUILLON8_IT_VA_SYMBOLIC_ID16}, /* Quillon 8, Italian (Vatican City), symbolic */
#endif
#if MM_QUILLON8_JA_JP_SYMBOLIC_BUILT
    {id_of_mm_quillon8_ja_JP_symbolic, title_of_mm_quillon8_ja_JP_symbolic, mm_quillon8_ja_JP_symbolic, MM_QUILLON8_JA_JP_SYMBOLIC_SIZE, MM_QUILLON8_JA_JP_SYMBOLIC_ID16}, /* Quillon 8, Japanese (Japan), symbolic */
#endif
#if MM_QUILLON8_KO_KR_SYMBOLIC_BUILT
    {id_of_mm_quillon8_ko_KR_symbolic, title_of_mm_quillon8_ko_KR_symbolic, mm_quillon8_ko_KR_symbolic, MM_QUILLON8_KO_KR_SYMBOLIC_SIZE, MM_QUILLON8_KO_KR_SYMBOLIC_ID16}, /* Quillon 8, Korean (Korea), symbolic */
#endif
#if MM_QUILLON8_LT_LT_SYMBOLIC_BUILT
    {id_of_mm_quillon8_lt_LT_symbolic, title_of_mm_quillon8_lt_LT_symbolic, mm_quillon8_lt_LT_symbolic, MM_QUILLON8_LT_LT_SYMBOLIC_SIZE, MM_QUILLON8_LT_LT_SYMBOLIC_ID16}, /* Quillon 8, Lithuanian (Lithuania), symbolic */
#endif
#if MM_QUILLON8_LV_LV_SYMBOLIC_BUILT
    {id_of_mm_quillon8_lv_LV_symbolic, title_of_mm_quillon8_lv_LV_symbolic, mm_quillon8_lv_LV_symbolic, MM_QUILLON8_LV_LV_SYMBOLIC_SIZE, MM_QUILLON8_LV_LV_SYMBOLIC_ID16}, /* Quillon 8, Latvian (Latvia), symbolic */
#endif
#if MM_QUILLON8_MK_MK_SYMBOLIC_BUILT
    {id_of_mm_quillon8_mk_MK_symbolic, title_of_mm_quillon8_mk_MK_symbolic, mm_quillon8_mk_MK_symbolic, MM_QUILLON8_MK_MK_SYMBOLIC_SIZE, MM_QUILLON8_MK_MK_SYMBOLIC_ID16}, /* Quillon 8, Macedonian (North Macedonia), symbolic */
#endif
#if MM_QUILLON8_MT_MT_SYMBOLIC_BUILT
    {id_of_mm_quillon8_mt_MT_symbolic, title_of_mm_quillon8_mt_MT_symbolic, mm_quillon8_mt_MT_symbolic, MM_QUILLON8_MT_MT_SYMBOLIC_SIZE, MM_QUILLON8_MT_MT_SYMBOLIC_ID16}, /* Quillon 8, Maltese (Malta), symbolic */
#endif
#if MM_QUILLON8_NB_NO_SYMBOLIC_BUILT
    {id_of_mm_quillon8_nb_NO_symbolic, title_of_mm_quillon8_nb_NO_symbolic, mm_quillon8_nb_NO_symbolic, MM_QUILLON8_NB_NO_SYMBOLIC_SIZE, MM_QUILLON8_NB_NO_SYMBOLIC_ID16}, /* Quillon 8, Norwegian (Norway), symbolic */
#endif
#if MM_QUILLON8_NL_BE_SYMBOLIC_BUILT
    {id_of_mm_quillon8_nl_BE_symbolic, title_of_mm_quillon8_nl_BE_symbolic, mm_quillon8_nl_BE_symbolic, MM_QUILLON8_NL_BE_SYMBOLIC_SIZE, MM_QUILLON8_NL_BE_SYMBOLIC_ID16}, /* Quillon 8, Dutch (Belgium), symbolic */
#endif
#if MM_QUILLON8_NL_NL_SYMBOLIC_BUILT
    {id_of_mm_quillon8_nl_NL_symbolic, title_of_mm_quillon8_nl_NL_symbolic, mm_quillon8_nl_NL_symbolic, MM_QUILLON8_NL_NL_SYMBOLIC_SIZE, MM_QUILLON8_NL_NL_SYMBOLIC_ID16}, /* Quillon 8, Dutch (Netherlands), symbolic */
#endif
#if MM_QUILLON8_PL_PL_SYMBOLIC_BUILT
    {id_of_mm_quillon8_pl_PL_symbolic, title_of_mm_quillon8_pl_PL_symbolic, mm_quillon8_pl_PL_symbolic, MM_QUILLON8_PL_PL_SYMBOLIC_SIZE, MM_QUILLON8_PL_PL_SYMBOLIC_ID16}, /* Quillon 8, Polish (Poland), symbolic */
#endif
#if MM_QUILLON8_PT_BR_SYMBOLIC_BUILT
    {id_of_mm_quillon8_pt_BR_symbolic, title_of_mm_quillon8_pt_BR_symbolic, mm_quillon8_pt_BR_symbolic, MM_QUILLON8_PT_BR_SYMBOLIC_SIZE, MM_QUILLON8_PT_BR_SYMBOLIC_ID16}, /* Quillon 8, Portuguese (Brazil), symbolic */
#endif
#if MM_QUILLON8_PT_PT_SYMBOLIC_BUILT
    {id_of_mm_quillon8_pt_PT_symbolic, title_of_mm_quillon8_pt_PT_symbolic, mm_quillon8_pt_PT_symbolic, MM_QUILLON8_PT_PT_SYMBOLIC_SIZE, MM_QUILLON8_PT_PT_SYMBOLIC_ID16}, /* Quillon 8, Portuguese (Portugal), symbolic */
#endif
#if MM_QUILLON8_RO_RO_SYMBOLIC_BUILT
    {id_of_mm_quillon8_ro_RO_symbolic, title_of_mm_quillon8_ro_RO_symbolic, mm_quillon8_ro_RO_symbolic, MM_QUILLON8_RO_RO_SYMBOLIC_SIZE, MM_QUILLON8_RO_RO_SYMBOLIC_ID16}, /* Quillon 8, Romanian (Romania), symbolic */
#endif
#if MM_QUILLON8_RU_RU_SYMBOLIC_BUILT
    {id_of_mm_quillon8_ru_RU_symbolic, title_of_mm_quillon8_ru_RU_symbolic, mm_quillon8_ru_RU_symbolic, MM_QUILLON8_RU_RU_SYMBOLIC_SIZE, MM_QUILLON8_RU_RU_SYMBOLIC_ID16}, /* Quillon 8, Russian (Russia), symbolic */
#endif
#if MM_QUILLON8_SK_SK_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sk_SK_symbolic, title_of_mm_quillon8_sk_SK_symbolic, mm_quillon8_sk_SK_symbolic, MM_QUILLON8_SK_SK_SYMBOLIC_SIZE, MM_QUILLON8_SK_SK_SYMBOLIC_ID16}, /* Quillon 8, Slovak (Slovakia), symbolic */
#endif
#if MM_QUILLON8_SL_SI_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sl_SI_symbolic, title_of_mm_quillon8_sl_SI_symbolic, mm_quillon8_sl_SI_symbolic, MM_QUILLON8_SL_SI_SYMBOLIC_SIZE, MM_QUILLON8_SL_SI_SYMBOLIC_ID16}, /* Quillon 8, Slovenian (Slovenia), symbolic */
#endif
#if MM_QUILLON8_SQ_AL_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sq_AL_symbolic, title_of_mm_quillon8_sq_AL_symbolic, mm_quillon8_sq_AL_symbolic, MM_QUILLON8_SQ_AL_SYMBOLIC_SIZE, MM_QUILLON8_SQ_AL_SYMBOLIC_ID16}, /* Quillon 8, Albanian (Albania), symbolic */
#endif
#if MM_QUILLON8_SR_LATN_ME_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sr_Latn_ME_symbolic, title_of_mm_quillon8_sr_Latn_ME_symbolic, mm_quillon8_sr_Latn_ME_symbolic, MM_QUILLON8_SR_LATN_ME_SYMBOLIC_SIZE, MM_QUILLON8_SR_LATN_ME_SYMBOLIC_ID16}, /* Quillon 8, Montenegrin (Montenegro), symbolic */
#endif
#if MM_QUILLON8_SR_LATN_RS_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sr_Latn_RS_symbolic, title_of_mm_quillon8_sr_Latn_RS_symbolic, mm_quillon8_sr_Latn_RS_symbolic, MM_QUILLON8_SR_LATN_RS_SYMBOLIC_SIZE, MM_QUILLON8_SR_LATN_RS_SYMBOLIC_ID16}, /* Quillon 8, Serbian, Latin (Serbia), symbolic */
#endif
#if MM_QUILLON8_SR_RS_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sr_RS_symbolic, title_of_mm_quillon8_sr_RS_symbolic, mm_quillon8_sr_RS_symbolic, MM_QUILLON8_SR_RS_SYMBOLIC_SIZE, MM_QUILLON8_SR_RS_SYMBOLIC_ID16}, /* Quillon 8, Serbian, Cyrillic (Serbia), symbolic */
#endif
#if MM_QUILLON8_SV_FI_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sv_FI_symbolic, title_of_mm_quillon8_sv_FI_symbolic, mm_quillon8_sv_FI_symbolic, MM_QUILLON8_SV_FI_SYMBOLIC_SIZE, MM_QUILLON8_SV_FI_SYMBOLIC_ID16}, /* Quillon 8, Swedish (Finland), symbolic */
#endif
#if MM_QUILLON8_SV_SE_SYMBOLIC_BUILT
    {id_of_mm_quillon8_sv_SE_symbolic, title_of_mm_quillon8_sv_SE_symbolic, mm_quillon8_sv_SE_symbolic, MM_QUILLON8_SV_SE_SYMBOLIC_SIZE, MM_QUILLON8_SV_SE_SYMBOLIC_ID16}, /* Quillon 8, Swedish (Sweden), symbolic */
#endif
#if MM_QUILLON8_TR_TR_SYMBOLIC_BUILT
    {id_of_mm_quillon8_tr_TR_symbolic, title_of_mm_quillon8_tr_TR_symbolic, mm_quillon8_tr_TR_symbolic, MM_QUILLON8_TR_TR_SYMBOLIC_SIZE, MM_QUILLON8_TR_TR_SYMBOLIC_ID16}, /* Quillon 8, Turkish (T<U+00FC>rkiye), symbolic */
#endif
#if MM_QUILLON8_UK_UA_SYMBOLIC_BUILT
    {id_of_mm_quillon8_uk_UA_symbolic, title_of_mm_quillon8_uk_UA_symbolic, mm_quillon8_uk_UA_symbolic, MM_QUILLON8_UK_UA_SYMBOLIC_SIZE, MM_QUILLON8_UK_UA_SYMBOLIC_ID16}, /* Quillon 8, Ukrainian (Ukraine), symbolic */
#endif
#if MM_RICASSO12_FO_DE_DE_POSITIONAL_BUILT
    {id_of_mm_ricasso12_fo_de_DE_positional, title_of_mm_ricasso12_fo_de_DE_positional, mm_ricasso12_fo_de_DE_positional, MM_RICASSO12_FO_DE_DE_POSITIONAL_SIZE, MM_RICASSO12_FO_DE_DE_POSITIONAL_ID16}, /* Ricasso 12, Faroese, German (Germany), positional */
#endif
#if MM_RICASSO12_FO_DE_DE_SYMBOLIC_BUILT
    {id_of_mm_ricasso12_fo_de_DE_symbolic, title_of_mm_ricasso12_fo_de_DE_symbolic, mm_ricasso12_fo_de_DE_symbolic, MM_RICASSO12_FO_DE_DE_SYMBOLIC_SIZE, MM_RICASSO12_FO_DE_DE_SYMBOLIC_ID16}, /* Ricasso 12, Faroese, German (Germany), symbolic */
#endif
#if MM_RICASSO12_FO_EN_GB_POSITIONAL_BUILT
    {id_of_mm_ricasso12_fo_en_GB_positional, title_of_mm_ricasso12_fo_en_GB_positional, mm_ricasso12_fo_en_GB_positional, MM_RICASSO12_FO_EN_GB_POSITIONAL_SIZE, MM_RICASSO12_FO_EN_GB_POSITIONAL_ID16}, /* Ricasso 12, Faroese, English (United Kingdom), positional */
#endif
#if MM_RICASSO12_FO_EN_GB_SYMBOLIC_BUILT
    {id_of_mm_ricasso12_fo_en_GB_symbolic, title_of_mm_ricasso12_fo_en_GB_symbolic, mm_ricasso12_fo_en_GB_symbolic, MM_RICASSO12_FO_EN_GB_SYMBOLIC_SIZE, MM_RICASSO12_FO_EN_GB_SYMBOLIC_ID16}, /* Ricasso 12, Faroese, English (United Kingdom), symbolic */
#endif
#if MM_RICASSO12_FO_EN_US_POSITIONAL_BUILT
    {id_of_mm_ricasso12_fo_en_US_positional, title_of_mm_ricasso12_fo_en_US_positional, mm_ricasso12_fo_en_US_positional, MM_RICASSO12_FO_EN_US_POSITIONAL_SIZE, MM_RICASSO12_FO_EN_US_POSITIONAL_ID16}, /* Ricasso 12, Faroese, English (United States), positional */
#endif
#if MM_RICASSO12_FO_EN_US_SYMBOLIC_BUILT
    {id_of_mm_ricasso12_fo_en_US_symbolic, title_of_mm_ricasso12_fo_en_US_symbolic, mm_ricasso12_fo_en_US_symbolic, MM_RICASSO12_FO_EN_US_SYMBOLIC_SIZE, MM_RICASSO12_FO_EN_US_SYMBOLIC_ID16}, /* Ricasso 12, Faroese, English (United States), symbolic */
#endif
#if MM_RICASSO12_FO_FO_FO_POSITIONAL_BUILT
    {id_of_mm_ricasso12_fo_fo_FO_positional, title_of_mm_ricasso12_fo_fo_FO_positional, mm_ricasso12_fo_fo_FO_positional, MM_RICASSO12_FO_FO_FO_POSITIONAL_SIZE, MM_RICASSO12_FO_FO_FO_POSITIONAL_ID16}, /* Ricasso 12, Faroese, Faroese (Faroe Islands), positional */
#endif
#if MM_RICASSO12_FO_FO_FO_SYMBOLIC_BUILT
    {id_of_mm_ricasso12_fo_fo_FO_symbolic, title_of_mm_ricasso12_fo_fo_FO_symbolic, mm_ricasso12_fo_fo_FO_symbolic, MM_RICASSO12_FO_FO_FO_SYMBOLIC_SIZE, MM_RICASSO12_FO_FO_FO_SYMBOLIC_ID16}, /* Ricasso 12, Faroese, Faroese (Faroe Islands), symbolic */
#endif
#if MM_RICASSO12_FO_FR_FR_POSITIONAL_BUILT
    {id_of_mm_ricasso12_fo_fr_FR_positional, title_of_mm_ricasso12_fo_fr_FR_positional, mm_ricasso12_fo_fr_FR_positional, MM_RICASSO12_FO_FR_FR_POSITIONAL_SIZE, MM_RICASSO12_FO_FR_FR_POSITIONAL_ID16}, /* Ricasso 12, Faroese, French (France), positional */
#endif
#if MM_RICASSO12_FO_FR_FR_SYMBOLIC_BUILT
    {id_of_mm_ricasso12_fo_fr_FR_symbolic, title_of_mm_ricasso12_fo_fr_FR_symbolic, mm_ricasso12_fo_fr_FR_symbolic, MM_RICASSO12_FO_FR_FR_SYMBOLIC_SIZE, MM_RICASSO12_FO_FR_FR_SYMBOLIC_ID16}, /* Ricasso 12, Faroese, French (France), symbolic */
#endif
};
