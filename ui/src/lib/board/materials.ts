// Materials that the board offers by name, as the catalogue has them; any other name of the catalogue can be typed.
export const STONES = ['slate', 'lava rock', 'basalt', 'granite', 'quartzite', 'sandstone', 'petrified wood', 'grey weathered limestone', 'honeycombed clay stone', 'river pebbles']
export const WOODS = ['waterlogged hardwood', 'branching root wood', 'bog oak', 'grapevine wood', 'cork bark']
export const BEDS = ['active soil', 'active soil powder', 'fine quartz sand', 'quartz gravel', 'cosmetic sand', 'nutrient base', 'garden soil', 'baked clay granules', 'pumice granules', 'lava granules']
