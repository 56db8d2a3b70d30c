; Größe: Schild für die Tür
g21 g90
g0x10y10
g1x60f900;la première ligne
y40
x10
m2
